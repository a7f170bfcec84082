/** Why nothing can be said in an archive that is only looked at. */
export const READ_ONLY =
  "It was handed over, or may not be written here. Take it into your own archive with `staunch merge` and review it there.";

export const SEALED_NOW = "The record had no seal; it was sealed now, before the review. What was done to it until now no seal shows.";
