-- Adds entries at the end of the audit log, in their order, once no other transaction does: one message of the client where it were two, and the lock is held for
-- as much less. Each entry comes as its columns and as the three parts of its canonical JSON, between which its time, its position and the hash before it stand.
create function append_to_audit_log(lock bigint, entries json) returns void language plpgsql volatile as $$
declare
  entry json;
  last_position bigint;
  last_hash bytea;
  added_at timestamptz(3);
  added_hash bytea;
begin
  perform pg_advisory_xact_lock(lock);
  -- A statement of its own, which sees what was added while the lock was waited for.
  select audit_log.position, audit_log.hash into last_position, last_hash from audit_log order by audit_log.position desc limit 1;
  last_position := coalesce(last_position, 0);
  last_hash := coalesce(last_hash, decode(repeat('00', 32), 'hex'));
  for entry in select json_array_elements(entries) loop
    added_at := date_trunc('milliseconds', clock_timestamp());
    added_hash := sha256(convert_to(concat(
      entry #>> '{canonical,0}', to_char(added_at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"'),
      entry #>> '{canonical,1}', last_position + 1, ',"previous":"', encode(last_hash, 'hex'), entry #>> '{canonical,2}'), 'UTF8'));
    insert into audit_log (position, at, actor_id, event, subject_kind, subject_id, from_state, to_state, rules, reason_digest, previous_hash, hash)
    select last_position + 1, added_at, row.actor_id, row.event, row.subject_kind, row.subject_id, row.from_state, row.to_state, row.rules,
      row.reason_digest, last_hash, added_hash
    from json_populate_record(null::audit_log, entry -> 'row') as row;
    last_position := last_position + 1;
    last_hash := added_hash;
    if entry -> 'reason' is not null then
      insert into audit_reason (position, salt, text)
      select last_position, reason.salt, reason.text from json_populate_record(null::audit_reason, entry -> 'reason') as reason;
    end if;
  end loop;
end $$;
