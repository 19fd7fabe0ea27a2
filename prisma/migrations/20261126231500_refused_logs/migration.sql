-- Logs that were refused as unreadable do not fill the disk: their bytes are kept for a day and then removed, while log, digest, run and
-- refusal stay. Nothing else of what was uploaded can be removed.

alter table run add column failed_at timestamptz(3);
update run set failed_at = now() where state = 'failed';
comment on column run.failed_at is 'Since when its log is refused; null while it is not.';

create function note_failure() returns trigger language plpgsql as $$
begin
  new.failed_at := case when new.state <> 'failed' then null when old.state = 'failed' then old.failed_at else now() end;
  return new;
end
$$;
create trigger run_failed_at before update of state on run
  for each row execute function note_failure();

create table log_removal (
  sha256 bytea primary key references log,
  removed_at timestamptz(3) not null default now()
);
comment on table log_removal is
  'Logs of which the record holds the digest and not the bytes: refused a day ago, or no log at all. Who sends the bytes again takes the row away.';

create function is_log_refused(digest bytea) returns boolean
  language sql stable
  return exists (select from run where log_sha256 = digest)
    and not exists (select from evaluation join run on run.id = evaluation.run_id where run.log_sha256 = digest)
    -- A fault of the service is no refusal, and a moderator who asks about a run may look at its log.
    and not exists (
      select from run where log_sha256 = digest
      and not (state = 'failed' and error ->> 'code' <> 'internal-error' and review_state <> 'info-requested'
        and failed_at <= now() - interval '1 day')
    );
comment on function is_log_refused is 'Whether every run of a log was refused a day ago or earlier, and none was ever evaluated.';

drop trigger log_chunk_is_immutable on log_chunk;
create trigger log_chunk_is_immutable before update or truncate on log_chunk
  for each statement execute function refuse_change();
create function refuse_log_loss() returns trigger language plpgsql as $$
begin
  if not is_log_refused(old.sha256) then
    raise exception 'only the bytes of a log that was refused a day ago are removed' using errcode = 'restrict_violation';
  end if;
  return old;
end
$$;
create trigger log_chunk_is_kept before delete on log_chunk
  for each row execute function refuse_log_loss();
comment on table log is 'A file as it was uploaded; never changed, and its bytes never lost unless it was refused.';

create table stored_logs (
  id integer primary key check (id = 1),
  bytes bigint not null check (bytes >= 0)
);
comment on table stored_logs is 'Bytes of all logs that are stored, kept up by triggers: no upload has to add them up.';
insert into stored_logs select 1, coalesce(sum(bytes), 0) from log;

create function count_stored_bytes() returns trigger language plpgsql as $$
declare
  change bigint;
begin
  if tg_table_name = 'log' then
    change := new.bytes;
  elsif tg_op = 'INSERT' then
    change := -(select bytes from log where sha256 = new.sha256);
  else
    change := (select bytes from log where sha256 = old.sha256);
  end if;
  update stored_logs set bytes = bytes + change where id = 1;
  return null;
end
$$;
-- At the end of the transaction, so that uploads wait for each other only then.
create constraint trigger log_counts after insert on log
  deferrable initially deferred for each row execute function count_stored_bytes();
create constraint trigger log_removal_counts after insert or delete on log_removal
  deferrable initially deferred for each row execute function count_stored_bytes();
