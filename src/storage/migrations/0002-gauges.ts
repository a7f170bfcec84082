/**
 * Gauges on file. Nothing is changed: a new calibration or a correction is a new sheet, the latest is in force. `key` is the name in
 * small letters, so that two spellings are not two gauges. Zeros and kit checks only grow; `record` is a record's id, `day` the day
 * of a check on the clock of the machine that made it.
 */
export default `
create table gauges (
  number integer primary key,
  key text not null unique,
  name text not null,
  added_wall_ms integer not null
) strict;

create table gauge_sheets (
  number integer primary key,
  gauge integer not null references gauges (number),
  wall_ms integer not null,
  url text not null,
  low_Pa real,
  high_Pa real,
  resolution_Pa real,
  accuracy_fraction real,
  accuracy_full_scale real,
  accuracy_Pa real,
  reference text check (reference in ('vented', 'absolute')),
  calibrated text,
  due text,
  certificate text,
  serial text,
  identity text,
  usb text
) strict;
create index gauge_sheets_by_gauge on gauge_sheets (gauge, number);

create table gauge_zeros (
  number integer primary key,
  gauge integer not null references gauges (number),
  wall_ms integer not null,
  zero_Pa real not null,
  moment text not null check (moment in ('before', 'after')),
  record text
) strict;
create index gauge_zeros_by_gauge on gauge_zeros (gauge, number);

create table kit_checks (
  number integer primary key,
  gauge integer not null references gauges (number),
  wall_ms integer not null,
  day text not null,
  pressure_Pa real not null,
  duration_s real not null,
  drop_Pa real not null,
  u_drop_Pa real not null,
  allowed_Pa real not null,
  passed integer not null check (passed in (0, 1)),
  source text not null,
  note text
) strict;
create index kit_checks_by_day on kit_checks (gauge, day);
`;
