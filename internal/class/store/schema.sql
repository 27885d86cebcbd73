-- One schema for SQLite and PostgreSQL: only text and bigint, times in
-- milliseconds since 1970, truth values 0 and 1.

create table if not exists setting (
  name text primary key,
  value text not null
);

-- Those who sign in. hash is empty until the invitation has been taken up.
create table if not exists person (
  id text primary key,
  name text not null unique,
  role text not null,
  hash text not null,
  invite text not null,
  created bigint not null
);

-- Only a digest of the token in the cookie is kept.
create table if not exists session (
  digest text primary key,
  person text not null,
  trainee text not null,
  expires bigint not null
);

create table if not exists class (
  id text primary key,
  title text not null,
  code text not null unique,
  owner text not null,
  created bigint not null,
  paused bigint not null,
  closed bigint not null
);

create table if not exists trainee (
  id text primary key,
  class text not null,
  name text not null,
  joined bigint not null,
  identity text not null,
  removed bigint not null
);
create unique index if not exists trainee_name on trainee (class, name);

create table if not exists handout (
  id text primary key,
  class text not null,
  exercise text not null,
  digest text not null,
  mode text not null,
  variant text not null,
  seed text not null,
  minutes bigint not null,
  attempts bigint not null,
  given bigint not null,
  closed bigint not null
);
create index if not exists handout_class on handout (class);

-- The files of exercises that were handed out, as JSON: attempts at them are
-- judged by these when a file has changed since, or has gone.
create table if not exists exercise (
  digest text primary key,
  files text not null
);

-- header is the first line of the log; chunk holds the others.
create table if not exists attempt (
  id text primary key,
  handout text not null,
  trainee text not null,
  turn bigint not null,
  seed text not null,
  header text not null,
  started bigint not null,
  finished bigint not null,
  seal text not null
);
create unique index if not exists attempt_turn on attempt (handout, trainee, turn);

-- Consecutive lines of a log.
create table if not exists chunk (
  attempt text not null,
  first bigint not null,
  last bigint not null,
  lines text not null,
  primary key (attempt, first)
);

-- Runs of lines of many logs, one commit's in a row, until they are sorted into
-- chunk. Each run begins with a line that says whose it is.
create table if not exists inbox (
  n bigint primary key,
  runs text not null
);

-- What an instructor did to an attempt: a hint, a fault brought in, minutes added.
create table if not exists intervention (
  id text primary key,
  attempt text not null,
  kind text not null,
  detail text not null,
  entry bigint not null,
  person text not null,
  at bigint not null
);
create index if not exists intervention_attempt on intervention (attempt);

-- An assessor's word on a finding. A later one replaces an earlier one; the
-- audit trail keeps both.
create table if not exists mark (
  attempt text not null,
  assessor text not null,
  finding text not null,
  decision text not null,
  reason text not null,
  at bigint not null,
  primary key (attempt, assessor, finding)
);

create table if not exists judgement (
  attempt text not null,
  assessor text not null,
  turn bigint not null,
  score bigint not null,
  verdict text not null,
  remark text not null,
  signed bigint not null,
  primary key (attempt, assessor)
);

-- Modified Angoff: what share of just competent candidates get an item right.
create table if not exists angoff (
  exercise text not null,
  judge text not null,
  item text not null,
  percent bigint not null,
  at bigint not null,
  primary key (exercise, judge, item)
);

create table if not exists audit (
  n bigint primary key,
  at bigint not null,
  who text not null,
  did text not null,
  subject text not null,
  detail text not null,
  prev text not null,
  digest text not null
);

create table if not exists outbox (
  id text primary key,
  statement text not null,
  made bigint not null,
  tries bigint not null,
  due bigint not null,
  sent bigint not null,
  fault text not null
);
