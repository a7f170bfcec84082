/**
 * Sealed entries: what was tested, reviews, second signatures. `head` is JSON text in UTF-8, kept byte for byte as it was sealed; with `previous`
 * and the hashes of the blocks it makes the seal, and the seal is signed. The columns beside the head are copies for lists: whoever verifies
 * reads the head. `subject` is the id of the record an entry is about. Two entries at one place of a chain are twins and are shown as such.
 * `attempts` holds the number a running test was given until its record is sealed.
 */
export default `
create table keys (
  number integer primary key,
  public blob not null unique
) strict;

create table attempts (
  record integer primary key references records (number),
  key text not null,
  attempt integer not null
) strict;

create table seals (
  entry integer primary key,
  chain text not null,
  number integer not null,
  kind text not null check (kind in ('record', 'review', 'countersign', 'check')),
  subject text not null,
  attempt integer,
  sealed_wall_ms integer not null,
  previous blob not null,
  head blob not null,
  seal blob not null,
  signature blob not null,
  key integer not null references keys (number),
  unique (chain, number, seal)
) strict;
create index seals_by_subject on seals (subject, kind);

create table blocks (
  entry integer not null references seals (entry),
  place integer not null,
  bytes blob not null,
  hash blob not null,
  primary key (entry, place)
) strict;
`;
