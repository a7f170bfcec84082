/** SQLite's file format, 3: a hot journal that ends with the name of a super-journal, its length, its checksum and the magic number. */
export function journalNaming(other: string): Buffer {
  const name = Buffer.from(other);
  const tail = Buffer.alloc(16);
  tail.writeUInt32BE(name.length, 0);
  tail.writeUInt32BE(
    [...name].reduce((sum, byte) => sum + byte, 0),
    4,
  );
  const magic = Buffer.from("d9d505f920a163d7", "hex");
  magic.copy(tail, 8);
  const header = Buffer.alloc(512);
  magic.copy(header);
  return Buffer.concat([header, Buffer.alloc(4), name, tail]);
}
