/**
 * What lists, searches and curves of many records are read from. All of it is derived from records, ends and sealed reviews and can be thrown away
 * and made again; none of it is sealed. `version` says by which rules a row was made. `second` is a verdict as JSON text, null where the
 * whole-curve judge has no say; `judge` is the version of its rules. `review_mark` is the last sealed entry that was looked at for reviews.
 */
export default `
create table review_lines (
  record integer primary key references records (number),
  version integer not null,
  id text not null,
  started_wall_ms integer not null,
  section text not null,
  stage text not null,
  method text not null,
  gauge text not null,
  tester text not null,
  source text not null,
  word text not null,
  codes text not null,
  drop_part real,
  second text not null,
  differs integer not null check (differs in (0, 1)),
  state text not null
) strict;

create table review_curves (
  record integer primary key references records (number),
  version integer not null,
  judge integer not null,
  second text,
  bytes blob not null
) strict;

create table review_mark (
  one integer primary key check (one = 1),
  entry integer not null
) strict;

insert into review_mark values (1, 0);
`;
