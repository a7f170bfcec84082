/**
 * Marks of records that were taken in from another archive although they are not what was sealed: what differed, where it came from and when.
 * An intact copy that comes later takes the place of a marked one, whose mark then goes.
 */
export default `
create table taken_altered (
  record integer primary key references records (number),
  archive text not null,
  taken_wall_ms integer not null,
  what text not null
) strict;
`;
