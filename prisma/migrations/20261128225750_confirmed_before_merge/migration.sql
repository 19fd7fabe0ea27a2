-- What was confirmed of a pack when another one was merged into it, as rows of confirmed_value; it goes when the merge is undone.
create table confirmed_before_merge (
  pack_id uuid primary key references pack (id),
  into_id uuid not null references pack (id),
  confirmed jsonb not null check (jsonb_typeof(confirmed) = 'array'),
  created_at timestamptz(3) not null default current_timestamp
);
create index confirmed_before_merge_into_id_idx on confirmed_before_merge (into_id);
