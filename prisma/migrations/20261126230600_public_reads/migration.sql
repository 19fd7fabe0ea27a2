-- Lists of runs, newest first, by what they are filtered by. Most readers ask for accepted ones.
create index on run (tester_id, id);
create index on run (created_at);
create index run_accepted_idx on run (id) where review_state = 'accepted';
create index run_accepted_protocol_idx on run (protocol_key, id) where review_state = 'accepted';
create index run_accepted_tester_idx on run (tester_id, id) where review_state = 'accepted';
create index run_accepted_specimen_idx on run (specimen_id, id) where review_state = 'accepted';
create index run_accepted_start_idx on run (started_at) where review_state = 'accepted';

-- Counts by class read nothing but this.
create index standing_class_idx on standing (protocol_key, figure, chemistry, series, load, provisional);
-- The standings of one pack.
create index on standing (pack_id, figure, load);

create table ranking_revision (
  protocol_key text primary key,
  revision bigint not null check (revision > 0)
);
comment on table ranking_revision is 'Counts the changes of a protocol''s rankings, so that a reader''s copy can be told to be current without reading them.';
insert into ranking_revision (protocol_key, revision) select protocol_key, 1 from active_version;
