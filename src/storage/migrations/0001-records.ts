/**
 * Records, their journals and their ends. A start is written once and never changed, an end is a row of its own: no end means
 * running or interrupted. `start` and `verdict` are whole JSON texts; the columns beside them are copies for lists.
 * `body` is a blob for bytes, JSON text for the rest of an event's fields, null when it has none.
 */
export default `
create table migrations (
  number integer primary key,
  name text not null,
  applied_wall_ms integer not null
) strict;

create table archive (
  one integer primary key check (one = 1),
  id text not null,
  created_wall_ms integer not null
) strict;

create table records (
  number integer primary key,
  id text not null unique,
  started_wall_ms integer not null,
  source text not null,
  section text not null,
  stage text not null,
  method text not null,
  start text not null
) strict;
create index records_by_start on records (started_wall_ms);
create index records_by_section on records (section, started_wall_ms);

create table journal (
  record integer not null references records (number),
  seq integer not null,
  at_ms integer not null,
  wall_ms integer not null,
  kind text not null,
  body any,
  primary key (record, seq)
) strict, without rowid;

create table ends (
  record integer primary key references records (number),
  ended_wall_ms integer not null,
  word text not null,
  verdict text not null
) strict;
create index ends_by_word on ends (word, record);

insert into archive values (1, lower(hex(randomblob(16))), unixepoch() * 1000);
`;
