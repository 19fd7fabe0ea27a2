-- Where the audit log ends, once no other transaction adds to it: two statements, so that the second sees what was added while the first waited.
create function audit_log_end(lock bigint) returns table ("position" bigint, hash bytea) language plpgsql volatile as $$
begin
  perform pg_advisory_xact_lock(lock);
  return query select entry.position, entry.hash from audit_log as entry order by entry.position desc limit 1;
end $$;
