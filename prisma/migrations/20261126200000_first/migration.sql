-- The whole database of the first release: who takes part, what is measured, what was computed of it, how it was decided on,
-- and what is kept beside it. A migration that has shipped is never edited; changes are further migrations.

-- Conventions. Ids are version 7 UUIDs that the service draws. Times are kept to the millisecond. Quantities carry their unit
-- in the name of their column. Foreign keys refuse the removal of what is referred to, unless they say otherwise.

-- ---------------------------------------------------------------------------------------------------------------------
-- Helpers
-- ---------------------------------------------------------------------------------------------------------------------

create function is_finite(number double precision) returns boolean
  language sql immutable parallel safe
  return number > '-infinity'::double precision and number < 'infinity'::double precision;
comment on function is_finite is 'Whether a measured number is one: neither NaN nor infinite. Null for null.';

create function refuse_change() returns trigger language plpgsql as $$
begin
  raise exception 'rows of % are never changed or removed', tg_table_name using errcode = 'restrict_violation';
end
$$;
comment on function refuse_change is 'For triggers of tables whose rows are kept for ever as they were written.';

-- ---------------------------------------------------------------------------------------------------------------------
-- Accounts and how they sign in
-- ---------------------------------------------------------------------------------------------------------------------

create table account (
  id uuid primary key,
  handle text not null check (handle ~ '^[A-Za-z0-9][A-Za-z0-9_-]{2,31}$'),
  password_hash text,
  role text not null default 'tester' check (role in ('tester', 'moderator', 'administrator')),
  created_at timestamptz(3) not null default now(),
  erased_at timestamptz(3),
  constraint account_erased_check check (erased_at is null or password_hash is null)
);
create unique index account_handle_key on account (lower(handle));
comment on column account.password_hash is 'Null when the account was erased, or when its person signs in through the identity provider alone.';
comment on column account.erased_at is 'When its personal data were erased; its id stays as a pseudonym.';

create table session (
  id uuid primary key,
  token_hash bytea not null unique check (octet_length(token_hash) = 32),
  account_id uuid not null references account on delete cascade,
  created_at timestamptz(3) not null default now(),
  expires_at timestamptz(3) not null,
  last_used_at timestamptz(3) not null default now(),
  constraint session_expires_at_check check (expires_at > created_at)
);
create index on session (account_id);
create index on session (expires_at);
comment on column session.token_hash is 'SHA-256 of the token; the token itself is shown once and not stored.';
comment on column session.last_used_at is 'To within some minutes.';

create table api_key (
  id uuid primary key,
  key_hash bytea not null unique check (octet_length(key_hash) = 32),
  account_id uuid not null references account on delete cascade,
  label text not null check (char_length(label) between 1 and 80),
  scopes text[] not null check (cardinality(scopes) between 1 and 3 and scopes <@ array['read', 'write', 'review']),
  created_at timestamptz(3) not null default now(),
  last_used_at timestamptz(3)
);
create index on api_key (account_id);
comment on table api_key is 'A long-lived key for programs.';
comment on column api_key.key_hash is 'SHA-256 of the key; the key itself is shown once and not stored.';
comment on column api_key.last_used_at is 'To within some minutes; null while it was never used.';

-- OpenID Connect Core 1.0, 2: a subject has 255 characters at most.
create table identity (
  id uuid primary key,
  account_id uuid not null references account on delete cascade,
  issuer text not null check (char_length(issuer) between 1 and 1000),
  subject text not null check (char_length(subject) between 1 and 255),
  created_at timestamptz(3) not null default now(),
  unique (issuer, subject)
);
create index on identity (account_id);
comment on table identity is 'Who a person is at the identity provider: what its `iss` and `sub` say, and nothing else of what it tells.';

create table sign_in (
  code_hash bytea primary key check (octet_length(code_hash) = 32),
  challenge bytea not null check (octet_length(challenge) = 32),
  issuer text not null,
  subject text not null,
  expires_at timestamptz(3) not null
);
create index on sign_in (expires_at);
comment on table sign_in is 'A sign-in that the identity provider has confirmed and whose client has not taken it up yet; good for minutes, once.';
comment on column sign_in.code_hash is 'SHA-256 of the code; the code itself is shown once and not stored.';
comment on column sign_in.challenge is 'What the client that began it must prove to know: SHA-256 of its verifier.';

create table setup_token (
  id integer primary key check (id = 1),
  token_hash bytea not null check (octet_length(token_hash) = 32),
  expires_at timestamptz(3) not null
);
comment on table setup_token is 'The one token with which the first administrator registers; there is none once it was used.';

-- ---------------------------------------------------------------------------------------------------------------------
-- Packs, the specimens of them that testers own, and benches
-- ---------------------------------------------------------------------------------------------------------------------

create table pack (
  id uuid primary key,
  maker text not null check (char_length(maker) between 1 and 80),
  name text not null check (char_length(name) between 1 and 120),
  chemistry text not null check (chemistry in ('lipo', 'lihv', 'liion', 'lifepo4')),
  series integer not null check (series between 1 and 100),
  parallel integer not null check (parallel between 1 and 100),
  rated_capacity_mah double precision not null check (rated_capacity_mah > 0 and is_finite(rated_capacity_mah)),
  label_continuous_c double precision check (label_continuous_c > 0 and is_finite(label_continuous_c)),
  label_burst_c double precision check (label_burst_c > 0 and is_finite(label_burst_c)),
  mass_grams double precision check (mass_grams > 0 and is_finite(mass_grams)),
  created_by_id uuid not null references account,
  created_at timestamptz(3) not null default now()
);
create unique index pack_same_product_key on pack (lower(maker), lower(name), series, parallel, rated_capacity_mah);
create index on pack (chemistry, series, id);

create table specimen (
  id uuid primary key,
  pack_id uuid not null references pack,
  owner_id uuid not null references account,
  label text not null check (char_length(label) between 1 and 80),
  cycles integer not null check (cycles >= 0),
  created_at timestamptz(3) not null default now(),
  unique (owner_id, pack_id, label),
  unique (id, owner_id)
);
create index on specimen (pack_id);
comment on table specimen is 'One pack of a kind, in the hands of a tester.';
comment on column specimen.cycles is 'Age in full cycles when it was registered.';

create table bench (
  id uuid primary key,
  owner_id uuid not null references account,
  label text not null check (char_length(label) between 1 and 80),
  load_kind text not null check (load_kind in ('throttle', 'constant-current', 'constant-resistance', 'constant-power')),
  voltage_percent double precision not null check (voltage_percent between 0 and 100),
  voltage_offset double precision not null check (voltage_offset >= 0 and is_finite(voltage_offset)),
  current_percent double precision not null check (current_percent between 0 and 100),
  current_offset double precision not null check (current_offset >= 0 and is_finite(current_offset)),
  temperature_offset double precision check (temperature_offset >= 0 and is_finite(temperature_offset)),
  sense_point text not null check (sense_point in ('pack', 'lead')),
  sense_resistance_milliohm double precision check (sense_resistance_milliohm >= 0 and is_finite(sense_resistance_milliohm)),
  sense_gauge_awg double precision check (sense_gauge_awg between -3 and 40),
  sense_length_mm double precision check (sense_length_mm > 0 and is_finite(sense_length_mm)),
  clock_percent double precision check (clock_percent between 0 and 10),
  created_at timestamptz(3) not null default now(),
  unique (owner_id, label),
  unique (id, owner_id),
  constraint bench_lead_resistance_known_check check (
    sense_point <> 'lead'
    or sense_resistance_milliohm is not null
    or (sense_gauge_awg is not null and sense_length_mm is not null)
  )
);
comment on column bench.clock_percent is 'Stated accuracy of the logger''s clock, % of the time; null when nothing is stated.';
comment on table bench is 'A load and its instruments, with what these are stated to read within.';
comment on column bench.voltage_offset is 'V';
comment on column bench.current_offset is 'A';
comment on column bench.temperature_offset is 'K; null when the bench logs no temperature.';

create table column_map (
  id uuid primary key,
  owner_id uuid not null references account,
  label text not null check (char_length(label) between 1 and 80),
  header text[] not null check (cardinality(header) between 1 and 500),
  header_sha256 bytea not null check (octet_length(header_sha256) = 32),
  columns jsonb not null check (jsonb_typeof(columns) = 'object' and columns <> '{}'),
  created_at timestamptz(3) not null default now(),
  constraint column_map_same_header_key unique (owner_id, header_sha256)
);
comment on table column_map is 'A tester''s statement of the columns of every log with this header row.';
comment on column column_map.header_sha256 is 'Of the header row, which may be longer than an index can hold.';

-- ---------------------------------------------------------------------------------------------------------------------
-- Protocols
-- ---------------------------------------------------------------------------------------------------------------------

create table protocol (
  key text check (key ~ '^[a-z][a-z0-9-]{0,63}$'),
  version integer check (version >= 1),
  document jsonb not null check (jsonb_typeof(document) = 'object'),
  published_at timestamptz(3) not null default now(),
  published_by_id uuid references account,
  primary key (key, version)
);
create trigger protocol_is_immutable before update or delete or truncate on protocol
  for each statement execute function refuse_change();
comment on table protocol is 'How runs are made and judged. A published version never changes.';
comment on column protocol.published_by_id is 'The administrator who published it; null for those that come with the program.';

create table active_version (
  protocol_key text primary key,
  protocol_version integer not null,
  computation_version integer not null check (computation_version >= 1),
  since timestamptz(3) not null default now(),
  foreign key (protocol_key, protocol_version) references protocol
);
comment on table active_version is
  'Under which version of protocol and computation runs count. It changes when all runs were evaluated under another one.';

-- ---------------------------------------------------------------------------------------------------------------------
-- Logs and runs
-- ---------------------------------------------------------------------------------------------------------------------

create table log (
  sha256 bytea primary key check (octet_length(sha256) = 32),
  bytes bigint not null check (bytes >= 0),
  media_type text not null,
  received_at timestamptz(3) not null default now()
);
create trigger log_is_immutable before update or delete or truncate on log
  for each statement execute function refuse_change();
comment on table log is 'A file as it was uploaded; never changed, never lost.';

create table log_chunk (
  sha256 bytea references log,
  position integer check (position >= 0),
  bytes bytea not null check (octet_length(bytes) between 1 and 1048576),
  primary key (sha256, position)
);
create trigger log_chunk_is_immutable before update or delete or truncate on log_chunk
  for each statement execute function refuse_change();

create table run (
  id uuid primary key,
  specimen_id uuid not null,
  bench_id uuid not null,
  tester_id uuid not null references account,
  protocol_key text not null,
  protocol_version integer not null,
  log_sha256 bytea not null references log,
  file_name text not null check (char_length(file_name) <= 255),
  started_at timestamptz(3),
  ambient_c double precision check (is_finite(ambient_c)),
  rest_minutes double precision check (rest_minutes >= 0 and is_finite(rest_minutes)),
  cycles integer check (cycles >= 0),
  setpoint_a double precision check (setpoint_a > 0 and is_finite(setpoint_a)),
  state_of_charge_percent double precision check (state_of_charge_percent between 0 and 100),
  discharge integer not null default 0 check (discharge between 0 and 1000),
  columns jsonb,
  columns_label text,
  state text not null default 'queued' check (state in ('queued', 'processing', 'processed', 'failed')),
  error jsonb,
  review_state text not null default 'pending'
    check (review_state in ('pending', 'info-requested', 'accepted', 'rejected', 'withdrawn')),
  withdrawal integer not null default 0,
  appealed boolean not null default false,
  replaced_by_id uuid references run,
  current_evaluation_id uuid unique,
  created_at timestamptz(3) not null default now(),
  -- A run is of its tester's own specimen on the tester's own bench.
  foreign key (specimen_id, tester_id) references specimen (id, owner_id),
  foreign key (bench_id, tester_id) references bench (id, owner_id),
  foreign key (protocol_key, protocol_version) references protocol,
  constraint run_same_upload_key unique (tester_id, specimen_id, bench_id, protocol_key, log_sha256, discharge, withdrawal),
  constraint run_columns_label_check check (columns_label is null or (columns is not null and char_length(columns_label) between 1 and 80)),
  constraint run_error_check check ((state = 'failed') = (error is not null)),
  constraint run_processed_check check (state <> 'processed' or current_evaluation_id is not null),
  constraint run_withdrawal_check check ((review_state = 'withdrawn') = (withdrawal > 0)),
  constraint run_replaced_check check (replaced_by_id is null or (review_state = 'withdrawn' and replaced_by_id <> id))
);
create index on run (specimen_id);
create index on run (bench_id);
create index on run (log_sha256);
create index on run (replaced_by_id);
create index on run (review_state, state, id);
-- The same discharge of the same bytes never counts twice, whoever uploads them for whichever pack.
create unique index run_log_counts_once on run (log_sha256, discharge) where review_state = 'accepted';
-- A run that does not say which discharge it is may be any of them. No index sees that; the log's lock makes decisions wait for each other.
create function refuse_second_count() returns trigger language plpgsql as $$
begin
  perform from log where sha256 = new.log_sha256 for no key update;
  if exists (select from run where log_sha256 = new.log_sha256 and review_state = 'accepted' and id <> new.id
    and discharge <> new.discharge and 0 in (discharge, new.discharge)) then
    raise exception 'the discharge of this log counts already'
      using errcode = 'unique_violation', constraint = 'run_log_counts_once', table = 'run';
  end if;
  return new;
end
$$;
create trigger run_log_counts_once before insert or update of review_state, log_sha256, discharge on run
  for each row when (new.review_state = 'accepted') execute function refuse_second_count();
comment on column run.discharge is 'Which discharge of the log the run is, from 1 on; 0 where nothing is said.';
comment on table run is 'One test of a specimen on a bench: a log and what its tester declares of it.';
comment on column run.protocol_version is 'The version that it was uploaded under; its evaluations say which one each of them is under.';
comment on column run.state_of_charge_percent is 'At the start, of a run that does not start fully charged.';
comment on column run.columns is 'The tester''s own statement of which column is which: as sent, or of the saved map that was applied.';
comment on column run.columns_label is 'Label of the saved map that was applied; null when the columns were sent.';
comment on column run.withdrawal is '0 while the run stands; withdrawn uploads of the same log are numbered from 1, so that it can be uploaded again.';
comment on column run.appealed is 'Whether its tester has appealed, which is done once.';
comment on column run.replaced_by_id is 'The run that its tester made in place of this one, when a moderator had asked about it.';

-- ---------------------------------------------------------------------------------------------------------------------
-- What was computed of runs
-- ---------------------------------------------------------------------------------------------------------------------

create table evaluation (
  id uuid primary key,
  run_id uuid not null references run,
  protocol_key text not null,
  protocol_version integer not null,
  computation_version integer not null check (computation_version >= 1),
  log_sha256 bytea not null references log,
  verdict text not null check (verdict in ('conforming', 'conforming-adjusted', 'nonconforming')),
  rows integer not null check (rows >= 0),
  columns jsonb not null,
  samples integer not null check (samples >= 0),
  rate_hz double precision not null check (rate_hz >= 0 and is_finite(rate_hz)),
  duration_s double precision not null check (duration_s >= 0 and is_finite(duration_s)),
  cutoff_s double precision check (cutoff_s >= 0 and is_finite(cutoff_s)),
  stop text not null check (stop in ('cutoff', 'temperature-limit', 'log-end', 'load-lost', 'operator')),
  created_at timestamptz(3) not null default now(),
  foreign key (protocol_key, protocol_version) references protocol,
  unique (id, run_id)
);
create index on evaluation (run_id);
create trigger evaluation_is_immutable before update or delete or truncate on evaluation
  for each statement execute function refuse_change();
comment on table evaluation is 'One result of one log under one version of protocol and computation; a re-evaluation is a new row.';
comment on column evaluation.rows is 'Rows of the log''s table.';

-- The current evaluation of a run is one of its own.
alter table run add foreign key (current_evaluation_id, id) references evaluation (id, run_id);

-- No constraint sees a verdict in another table.
create function refuse_unfit_acceptance() returns trigger language plpgsql as $$
begin
  if not exists (select from evaluation where id = new.current_evaluation_id and verdict <> 'nonconforming') then
    raise exception 'only a run that conforms is accepted'
      using errcode = 'check_violation', constraint = 'run_accepted_conforms', table = 'run';
  end if;
  return new;
end
$$;
create trigger run_accepted_conforms before insert or update on run
  for each row when (new.review_state = 'accepted') execute function refuse_unfit_acceptance();

create table trace (
  evaluation_id uuid primary key references evaluation,
  encoding text not null,
  data bytea not null
);
create trigger trace_is_immutable before update or delete or truncate on trace
  for each statement execute function refuse_change();
comment on column trace.encoding is 'How the data are laid out.';

create table figure (
  evaluation_id uuid references evaluation,
  key text,
  basis text check (basis in ('measured', 'corrected', 'translated')),
  load double precision not null check (load >= 0 and is_finite(load)),
  value double precision not null check (is_finite(value)),
  unit text not null,
  uncertainty double precision not null check (uncertainty >= 0 and is_finite(uncertainty)),
  own_uncertainty double precision check (own_uncertainty >= 0 and is_finite(own_uncertainty)),
  kinetics_uncertainty double precision check (is_finite(kinetics_uncertainty)),
  resistance_uncertainty double precision check (is_finite(resistance_uncertainty)),
  form_uncertainty double precision check (form_uncertainty >= 0 and is_finite(form_uncertainty)),
  bound text not null check (bound in ('none', 'lower', 'upper')),
  budget jsonb not null,
  primary key (evaluation_id, key, basis, load),
  constraint figure_load_basis_check check ((load > 0) = (basis = 'translated')),
  constraint figure_shared_check check (
    num_nonnulls(own_uncertainty, kinetics_uncertainty, resistance_uncertainty, form_uncertainty)
      = case when basis = 'translated' then 4 else 0 end
  )
);
create trigger figure_is_immutable before update or delete or truncate on figure
  for each statement execute function refuse_change();
comment on column figure.load is 'Standard load that it was translated to, A; 0 under the run''s own load.';
comment on column figure.uncertainty is 'Standard uncertainty, in the unit.';
comment on column figure.own_uncertainty is 'Its part that testers do not share; the three that follow they share, kinetics and resistance signed.';

create table finding (
  evaluation_id uuid references evaluation,
  position integer not null check (position >= 0),
  rule text,
  severity text not null check (severity in ('required', 'corrected', 'advised')),
  outcome text not null check (outcome in ('pass', 'fail', 'not-assessable')),
  observed double precision check (is_finite(observed)),
  "limit" text not null,
  unit text not null,
  message text not null,
  span_from_s double precision,
  span_to_s double precision,
  primary key (evaluation_id, rule),
  constraint finding_span_check check (
    (span_from_s is null) = (span_to_s is null)
    and is_finite(span_from_s) and is_finite(span_to_s) and span_from_s <= span_to_s
  )
);
create trigger finding_is_immutable before update or delete or truncate on finding
  for each statement execute function refuse_change();

create table adjustment (
  evaluation_id uuid references evaluation,
  position integer check (position >= 0),
  kind text not null,
  message text not null,
  before double precision check (is_finite(before)),
  after double precision check (is_finite(after)),
  unit text not null,
  primary key (evaluation_id, position)
);
create trigger adjustment_is_immutable before update or delete or truncate on adjustment
  for each statement execute function refuse_change();

create table reevaluation (
  id uuid primary key,
  protocol_key text not null,
  protocol_version integer not null,
  computation_version integer not null check (computation_version >= 1),
  dry_run boolean not null,
  document jsonb,
  requested_by_id uuid references account,
  state text not null default 'evaluating' check (state in ('evaluating', 'finished', 'failed', 'cancelled')),
  error jsonb,
  total integer not null default 0,
  done integer not null default 0,
  failed integer not null default 0,
  effects jsonb,
  created_at timestamptz(3) not null default now(),
  finished_at timestamptz(3),
  constraint reevaluation_document_check check ((document is not null) = dry_run),
  constraint reevaluation_progress_check check (failed >= 0 and failed <= done and done <= total),
  constraint reevaluation_finished_check check ((state = 'evaluating') = (finished_at is null))
);
-- What one finds would not hold when another one ended before it.
create unique index reevaluation_one_at_a_time_key on reevaluation (protocol_key) where state = 'evaluating';
comment on table reevaluation is
  'Evaluation of every run of a protocol anew, under another version of it or of the computation. A dry run keeps nothing of it but its effects.';
comment on column reevaluation.document is 'Of a dry run: what it tries, published or not.';
comment on column reevaluation.requested_by_id is 'Null for the service itself, after an upgrade.';
comment on column reevaluation.total is 'Runs to evaluate; `done` and, of those, `failed` say how far it is.';

create table reevaluation_run (
  reevaluation_id uuid references reevaluation on delete cascade,
  run_id uuid references run,
  outcome text not null default 'pending' check (outcome in ('pending', 'evaluated', 'failed', 'left')),
  verdict text,
  failed_rules text[],
  evaluation_id uuid references evaluation,
  result jsonb,
  error jsonb,
  primary key (reevaluation_id, run_id),
  constraint reevaluation_run_error_check check ((error is not null) = (outcome = 'failed')),
  constraint reevaluation_run_verdict_check check ((verdict is not null) = (outcome = 'evaluated'))
);
create index on reevaluation_run (run_id);
comment on table reevaluation_run is 'One run of a re-evaluation, and what came of it.';
comment on column reevaluation_run.result is 'Of a dry run: what standings are computed from, until it is finished.';

create table standing (
  protocol_key text,
  protocol_version integer not null,
  computation_version integer not null,
  figure text,
  load double precision not null check (load >= 0 and is_finite(load)),
  pack_id uuid references pack on delete cascade,
  chemistry text not null,
  series integer not null,
  rated_capacity_mah double precision not null,
  value double precision not null check (is_finite(value)),
  unit text not null,
  uncertainty double precision not null check (uncertainty >= 0 and is_finite(uncertainty)),
  degrees_of_freedom double precision check (degrees_of_freedom > 0 and is_finite(degrees_of_freedom)),
  testers integer not null check (testers >= 1),
  runs integer not null,
  provisional boolean not null,
  basis text not null check (basis in ('own', 'translated')),
  own_load_value double precision check (is_finite(own_load_value)),
  sort_value double precision not null check (is_finite(sort_value)),
  updated_at timestamptz(3) not null default now(),
  primary key (protocol_key, figure, load, pack_id),
  constraint standing_load_basis_check check ((load > 0) = (basis = 'translated')),
  constraint standing_runs_check check (runs >= testers)
);
create index on standing (protocol_key, figure, load, sort_value desc, pack_id);
comment on table standing is 'A pack''s place in a ranking, kept ready for reading.';
comment on column standing.protocol_version is 'What the runs behind it were evaluated under, as is `computation_version`.';
comment on column standing.degrees_of_freedom is 'Effective, of the uncertainty; null for infinitely many.';
comment on column standing.load is 'Standard load of the ranking, A; 0 where packs are ranked under the runs'' own loads.';
comment on column standing.basis is 'Which load the value belongs to.';
comment on column standing.own_load_value is 'Mean of the testers under their own loads, shown beside a translated value.';
comment on column standing.sort_value is 'Larger is always better.';

-- ---------------------------------------------------------------------------------------------------------------------
-- Copies: runs whose traces are one measurement
-- ---------------------------------------------------------------------------------------------------------------------

create table copy_fingerprint (
  run_id uuid primary key references run,
  number integer not null generated always as identity unique check (number < 16777216),
  method text not null,
  checked_at timestamptz(3)
);
comment on table copy_fingerprint is 'What of a run''s trace is looked up when copies are sought.';
comment on column copy_fingerprint.number is 'Stands for the run in `copy_hash`, shorter than its id: 24 bits.';
comment on column copy_fingerprint.method is 'Version of how copies are sought.';
comment on column copy_fingerprint.checked_at is 'When the run was compared with all others; null until then.';

create table copy_hash (
  entry bigint primary key
);
comment on table copy_hash is 'Hashes of what a trace does beside its smooth course. Millions of rows: nothing but what the search reads.';
comment on column copy_hash.entry is 'From the highest bit: 29 of the hash, 24 of the number in `copy_fingerprint`, 11 of the offset.';

create table copy_match (
  earlier_run_id uuid references run,
  later_run_id uuid references run,
  method text not null,
  agreements jsonb not null check (jsonb_typeof(agreements) = 'array' and agreements <> '[]'),
  found_at timestamptz(3) not null default now(),
  primary key (earlier_run_id, later_run_id),
  constraint copy_match_order_check check (earlier_run_id < later_run_id)
);
create index on copy_match (later_run_id);
-- What was found stays found: a moderator decides what it means, in a review.
create trigger copy_match_is_immutable before update or delete or truncate on copy_match
  for each statement execute function refuse_change();
comment on table copy_match is 'Two runs whose traces were found to be one measurement, with what shows it.';
comment on column copy_match.agreements is 'For each channel that agrees: how well, where, and by which factors.';

-- ---------------------------------------------------------------------------------------------------------------------
-- Decisions on runs
-- ---------------------------------------------------------------------------------------------------------------------

create table auto_accept_policy (
  version integer primary key check (version >= 1),
  actor_id uuid not null unique,
  enabled boolean not null,
  moderator_acceptances integer not null check (moderator_acceptances >= 1),
  no_rejection_days integer not null check (no_rejection_days >= 1),
  account_days integer not null check (account_days >= 0),
  other_testers integer not null check (other_testers >= 1),
  max_deviation_percent double precision not null check (max_deviation_percent > 0 and max_deviation_percent <= 100),
  max_per_day integer not null check (max_per_day >= 1),
  sample_one_in integer not null check (sample_one_in >= 2),
  set_by_id uuid not null references account,
  set_at timestamptz(3) not null default now()
);
create trigger auto_accept_policy_is_immutable before update or delete or truncate on auto_accept_policy
  for each statement execute function refuse_change();
comment on table auto_accept_policy is 'A version of the policy by which runs are accepted without a moderator; the newest one holds.';
comment on column auto_accept_policy.actor_id is 'Stands for the policy where an account stands for a person: as the actor in the audit log.';

create table review (
  id uuid primary key,
  run_id uuid not null references run,
  moderator_id uuid references account,
  rule_version integer references auto_accept_policy,
  decision text not null check (decision in ('accept', 'reject', 'request-info')),
  rules text[],
  independent_of uuid[],
  previous_review text check (previous_review in ('pending', 'info-requested', 'accepted', 'rejected')),
  created_at timestamptz(3) not null default now(),
  constraint review_one_decides_check check (num_nonnulls(moderator_id, rule_version) = 1),
  constraint review_rule_accepts_check check (rule_version is null or decision = 'accept')
);
create index on review (run_id);
create trigger review_is_immutable before update or delete or truncate on review
  for each statement execute function refuse_change();
comment on table review is 'A decision on a run: of a moderator who is another than its tester, or of the policy.';
comment on column review.independent_of is 'Runs that look like one measurement with this one, and were judged to be measurements of their own.';
comment on column review.previous_review is 'Where the run stood before, to be undone to.';

create table review_claim (
  run_id uuid primary key references run,
  moderator_id uuid not null references account,
  until timestamptz(3) not null
);
comment on table review_claim is 'A moderator is looking at a run; others leave it alone until then.';

create table review_proposal (
  id uuid primary key,
  run_id uuid not null references run,
  moderator_id uuid not null references account,
  decision text not null check (decision in ('accept', 'reject', 'request-info')),
  created_at timestamptz(3) not null default now(),
  unique (run_id, moderator_id)
);
comment on table review_proposal is 'What a moderator who competes with a run''s pack would decide: it counts when another moderator agrees.';

-- Nobody decides on a run of their own. No constraint sees the tester in another table.
create function refuse_own_review() returns trigger language plpgsql as $$
begin
  if exists (select from run where id = new.run_id and tester_id = new.moderator_id) then
    raise exception 'a run is never reviewed by its own tester'
      using errcode = 'check_violation', constraint = 'review_not_own_run', table = tg_table_name;
  end if;
  return new;
end
$$;
create trigger review_not_own_run before insert on review
  for each row execute function refuse_own_review();
create trigger review_proposal_not_own_run before insert or update on review_proposal
  for each row execute function refuse_own_review();

-- ---------------------------------------------------------------------------------------------------------------------
-- The audit log: what happened to runs, accounts, keys and protocols
-- ---------------------------------------------------------------------------------------------------------------------

create table audit_log (
  position bigint primary key,
  at timestamptz(3) not null,
  actor_id uuid,
  event text not null check (event ~ '^[a-z][a-z-]{0,63}$'),
  subject_kind text not null check (subject_kind ~ '^[a-z][a-z-]{0,63}$'),
  subject_id text not null check (char_length(subject_id) between 1 and 200),
  from_state text,
  to_state text,
  rules text[],
  reason_digest bytea check (octet_length(reason_digest) = 32),
  previous_hash bytea not null check (octet_length(previous_hash) = 32),
  hash bytea not null unique check (octet_length(hash) = 32)
);
create index on audit_log (subject_kind, subject_id, position);
create index on audit_log (actor_id);
create trigger audit_log_is_immutable before update or delete or truncate on audit_log
  for each statement execute function refuse_change();
comment on table audit_log is 'Only ever added to, each row chained to the one before by its hash.';
comment on column audit_log.position is '1, 2, 3 ... without a gap.';
comment on column audit_log.actor_id is
  'Account or policy that did it, a pseudonym once the account was erased; null for the service itself or its operator.';
comment on column audit_log.reason_digest is 'SHA-256 of salt and text of the reason, which can be erased without breaking the chain.';

-- A row is added at the end of the chain or not at all: no constraint sees the row before. Whoever adds one holds a lock, so
-- that the last row that is seen is the last one.
create function refuse_unchained() returns trigger language plpgsql as $$
declare
  last record;
begin
  select position, hash into last from audit_log order by position desc limit 1;
  if new.position <> coalesce(last.position, 0) + 1
    or new.previous_hash <> coalesce(last.hash, decode(repeat('00', 32), 'hex')) then
    raise exception 'an entry follows the last one of the chain'
      using errcode = 'check_violation', constraint = 'audit_log_chained', table = 'audit_log';
  end if;
  return new;
end
$$;
create trigger audit_log_chained before insert on audit_log
  for each row execute function refuse_unchained();

create table audit_reason (
  position bigint primary key references audit_log,
  salt bytea not null,
  text text not null
);
create trigger audit_reason_is_unchanged before update or truncate on audit_reason
  for each statement execute function refuse_change();
comment on table audit_reason is 'The words of a reason. They may be erased, as when their author''s account is, and are never changed.';

-- ---------------------------------------------------------------------------------------------------------------------
-- Beside the record: requests that are sent again, and limits
-- ---------------------------------------------------------------------------------------------------------------------

create table idempotency_key (
  id bytea primary key check (octet_length(id) = 32),
  account_id uuid references account on delete cascade,
  fingerprint bytea not null check (octet_length(fingerprint) = 32),
  claim uuid not null,
  claimed_until timestamptz(3) not null,
  status integer check (status between 200 and 499),
  headers jsonb,
  body text,
  expires_at timestamptz(3) not null,
  -- An answer is whole or not there yet, and never a fault of the service.
  constraint idempotency_key_answer_check check ((status is null) = (headers is null) and (status is null) = (body is null))
);
create index on idempotency_key (account_id);
create index on idempotency_key (expires_at);
comment on table idempotency_key is 'What a request with an idempotency key was answered, or who is at work on it.';
comment on column idempotency_key.id is 'SHA-256 of whom the key belongs to and its value, which is not stored itself.';
comment on column idempotency_key.fingerprint is 'Tells another payload; it does not give away the payload.';
comment on column idempotency_key.claim is 'Drawn anew by each process that takes the request up.';
comment on column idempotency_key.claimed_until is 'When the claim expires unless the process at work renews it.';

-- Limits may be lost in a crash, and writing them should cost little.
create unlogged table limit_state (
  key varchar(255) primary key,
  points integer not null default 0,
  expire bigint
);
comment on table limit_state is 'What is left of limits that hold across processes, in the form that the limiter keeps them.';
