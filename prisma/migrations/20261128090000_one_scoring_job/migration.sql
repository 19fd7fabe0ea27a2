-- What has changed is told when it is committed, and whoever works the queue queues one job for all that was told within a second. A job for each
-- transaction piled up by the thousands behind evaluations. What nobody hears is found by the next start, since it stands in the table.
create or replace function queue_scoring() returns trigger language plpgsql as $$
begin
  if exists (select from inserted) then perform pg_notify('packledger', '{"topic":"score-due","message":{}}'); end if;
  return null;
end $$;
alter function queue_scoring() rename to tell_scoring;
alter trigger scoring_queued on review_score_due rename to scoring_told;
