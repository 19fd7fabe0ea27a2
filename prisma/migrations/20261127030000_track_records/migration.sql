-- Testers with a record: whose results make a standing's value, and what of it has been confirmed.

-- What a ranking calls established is stored as such. Which testers count is decided when standings are computed.
drop index standing_class_idx;
alter table standing rename column provisional to established;
update standing set established = not established;
create index standing_class_idx on standing (protocol_key, figure, chemistry, series, load, established);
alter table standing
  add column computed_value double precision check (is_finite(computed_value)),
  add column disputed boolean not null default false,
  add column testers_beside integer not null default 0 check (testers_beside >= 0),
  add column held integer not null default 0 check (held >= 0),
  add constraint standing_disputed_value_check check (disputed = (computed_value is not null)),
  add constraint standing_held_beside_check check (held <= testers_beside);
comment on column standing.established is 'Whether enough testers with a record make its value; others have no place.';
comment on column standing.disputed is 'The confirmed value stays, since what the testers'' results give has left it too far.';
comment on column standing.computed_value is 'What the testers'' results give where the standing is disputed.';
comment on column standing.testers_beside is 'Testers whose results are shown beside the value and do not make it.';
comment on column standing.held is 'How many of these are held for a moderator, being too far from the others.';

create table tester_result (
  pack_id uuid references pack on delete cascade,
  protocol_key text,
  figure text,
  basis text check (basis in ('own', 'translated')),
  load double precision check (load >= 0 and is_finite(load)),
  tester_id uuid references account,
  value double precision not null check (is_finite(value)),
  unit text not null,
  stated_uncertainty double precision not null check (stated_uncertainty >= 0 and is_finite(stated_uncertainty)),
  own_uncertainty double precision not null check (own_uncertainty >= 0 and is_finite(own_uncertainty)),
  degrees_of_freedom double precision check (degrees_of_freedom > 0 and is_finite(degrees_of_freedom)),
  kinetics_uncertainty double precision not null default 0 check (is_finite(kinetics_uncertainty)),
  resistance_uncertainty double precision not null default 0 check (is_finite(resistance_uncertainty)),
  form_uncertainty double precision not null default 0 check (is_finite(form_uncertainty)),
  common_uncertainty double precision not null default 0 check (common_uncertainty >= 0 and is_finite(common_uncertainty)),
  runs integer not null check (runs >= 0),
  withdrawn_runs integer not null default 0 check (withdrawn_runs >= 0),
  first_run_at timestamptz(3) not null,
  primary key (pack_id, protocol_key, figure, basis, load, tester_id),
  constraint tester_result_any_run_check check (runs + withdrawn_runs >= 1),
  constraint tester_result_load_basis_check check ((load > 0) = (basis = 'translated'))
);
create index on tester_result (tester_id, protocol_key, figure);
comment on table tester_result is 'One tester''s result of one figure of one pack: the mean of the own runs. Standings and records are made of these.';
comment on column tester_result.stated_uncertainty is 'Mean standard uncertainty of the runs, shared parts included.';
comment on column tester_result.own_uncertainty is 'Standard uncertainty of the mean without the parts that testers share.';
comment on column tester_result.kinetics_uncertainty is 'Mean of a part that testers share, signed, as are the two that follow.';
comment on column tester_result.common_uncertainty is 'Least uncertainty that averaging does not lessen.';
comment on column tester_result.runs is 'Accepted runs. None are left where all were withdrawn after they had been accepted.';
comment on column tester_result.withdrawn_runs is 'Runs that were withdrawn when their figures had been seen: they stay in the mean.';
comment on column tester_result.first_run_at is 'When the first of the runs was uploaded.';

create table tester_record (
  tester_id uuid primary key references account,
  vouched_by_id uuid references account,
  vouched_at timestamptz(3),
  established_since timestamptz(3),
  judgement jsonb not null default '[]' check (jsonb_typeof(judgement) = 'array'),
  judged_at timestamptz(3) not null default now(),
  constraint tester_record_vouched_check check ((vouched_by_id is null) = (vouched_at is null))
);
create index tester_record_reference_idx on tester_record (tester_id) where vouched_at is not null or established_since is not null;
comment on table tester_record is 'What is known of a tester: vouched for by a moderator, established by the own results, or neither.';
comment on column tester_record.established_since is 'Since when the results have agreed with those of reference testers; null while they do not.';
comment on column tester_record.judgement is 'By quantity: bias, its uncertainty, scatter, packs, partners, and what is missing.';

create table confirmed_value (
  protocol_key text,
  figure text,
  load double precision check (load >= 0 and is_finite(load)),
  pack_id uuid references pack on delete cascade,
  value double precision not null check (is_finite(value)),
  uncertainty double precision not null check (uncertainty >= 0 and is_finite(uncertainty)),
  degrees_of_freedom double precision check (degrees_of_freedom > 0 and is_finite(degrees_of_freedom)),
  computed_value double precision not null check (is_finite(computed_value)),
  vouched_testers integer not null check (vouched_testers >= 0),
  kept_value double precision check (is_finite(kept_value)),
  moderator_id uuid references account,
  confirmed_at timestamptz(3) not null default now(),
  primary key (protocol_key, figure, load, pack_id)
);
create index on confirmed_value (pack_id, protocol_key);
comment on table confirmed_value is 'The value of a standing when it was first established or a moderator last confirmed it. It outlives the standing.';
comment on column confirmed_value.computed_value is 'What the testers'' results gave last, so that a new computation can be told from new results.';
comment on column confirmed_value.kept_value is 'What a moderator has turned down in favour of the confirmed value.';
comment on column confirmed_value.moderator_id is 'Null where it is the first established value.';

create table hold_decision (
  pack_id uuid references pack on delete cascade,
  protocol_key text,
  figure text,
  load double precision check (load >= 0 and is_finite(load)),
  tester_id uuid references account,
  value double precision not null check (is_finite(value)),
  counts boolean not null,
  moderator_id uuid not null references account,
  decided_at timestamptz(3) not null default now(),
  primary key (pack_id, protocol_key, figure, load, tester_id)
);
comment on table hold_decision is 'What a moderator has said of a result that was held, as long as it stays what it was.';
comment on column hold_decision.value is 'The result when it was decided on.';

create table standing_policy (
  version integer primary key check (version >= 1),
  testers integer not null check (testers between 1 and 5),
  reference_testers integer not null check (reference_testers between 1 and 5),
  vouched_only boolean not null,
  sealed_from integer check (sealed_from >= 3),
  set_by_id uuid not null references account,
  set_at timestamptz(3) not null default now(),
  constraint standing_policy_reference_check check (reference_testers <= testers)
);
comment on table standing_policy is 'How many testers make a standing established; the newest version holds. Never changed.';
comment on column standing_policy.sealed_from is 'From how many established testers on a record needs a pack from a sealed round; null for never.';

create table sealed_round (
  id uuid primary key,
  pack_id uuid not null unique references pack on delete cascade,
  opens_at timestamptz(3) not null default now(),
  closes_at timestamptz(3) not null,
  opened_by_id uuid not null references account,
  constraint sealed_round_times_check check (closes_at > opens_at)
);
create index on sealed_round (closes_at);
comment on table sealed_round is 'Runs of a new pack that nobody but their testers and moderators sees until the round closes.';

create table figure_reproducibility (
  protocol_key text,
  figure text,
  basis text check (basis in ('own', 'translated')),
  relative_sd double precision not null check (relative_sd > 0 and is_finite(relative_sd)),
  degrees_of_freedom integer not null check (degrees_of_freedom >= 0),
  estimated_at timestamptz(3) not null default now(),
  primary key (protocol_key, figure, basis)
);
comment on table figure_reproducibility is 's_R: how far results of different reference testers of one pack scatter, over the value.';

alter table specimen add column mass_grams double precision check (mass_grams > 0 and is_finite(mass_grams));
comment on column specimen.mass_grams is 'As its owner weighed it, leads and connector included.';

alter table run
  add column withdrawn_from text check (withdrawn_from in ('pending', 'info-requested', 'accepted', 'rejected')),
  add column withdrawal_excused_by_id uuid references account,
  add constraint run_withdrawn_state_check check (withdrawn_from is null or review_state = 'withdrawn'),
  add constraint run_withdrawal_excused_check check (withdrawal_excused_by_id is null or withdrawn_from is not null);
create index run_seen_withdrawal_idx on run (tester_id, specimen_id) where withdrawn_from is not null and withdrawal_excused_by_id is null;
comment on column run.withdrawn_from is 'What had been decided when a run was withdrawn whose figures had been seen; null for any other.';
comment on column run.withdrawal_excused_by_id is 'The moderator who accepted the cause: the run no longer stays in its tester''s means.';
