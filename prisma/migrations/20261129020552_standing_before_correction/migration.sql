-- What runs of a pack gave before it was corrected: rows of tester_result, and the runs behind them. It goes when all of them are evaluated anew.
create table standing_before_correction (
  pack_id uuid not null references pack (id) on delete cascade on update no action,
  protocol_key text not null,
  results jsonb not null check (jsonb_typeof(results) = 'array'),
  run_ids uuid[] not null,
  created_at timestamptz(3) not null default current_timestamp,
  primary key (pack_id, protocol_key)
);
