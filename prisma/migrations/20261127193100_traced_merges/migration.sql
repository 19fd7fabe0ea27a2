-- Merges from before it was kept what they were of: they lead where they did, and are marked as not to be undone.
alter table pack add column merged_untraced boolean not null default false;
comment on column pack.merged_untraced is 'Merged before specimens kept which pack they are from: that cannot be undone.';
update pack set merged_untraced = true, merged_directly_into_id = coalesce(
  (select target.id from audit_log as entry join pack as target on entry.to_state = 'merged into ' || target.id::text
   where entry.subject_kind = 'pack' and entry.subject_id = pack.id::text and entry.event = 'merge' and target.id <> pack.id
   order by entry.position desc limit 1), merged_into_id)
where merged_into_id is not null and merged_directly_into_id is null;
comment on column pack.merged_directly_into_id is 'The pack that it was merged into, whatever became of that one.';

-- The label of a specimen as its owner gave it, while another one stands in its place that tells it apart.
alter table specimen add column plain_label text;
comment on column specimen.plain_label is 'Its label before a merge added the end of its id to that; null where none did.';
update specimen set plain_label = left(label, -15)
where merged_from_id is not null and char_length(label) between 16 and 74 and right(label, 15) = ' (' || right(id::text, 12) || ')';

-- A run takes the pack of its specimen as that stands when nobody changes it any more: a merge that moves the specimen at this moment is waited for.
create or replace function set_pack_of_run() returns trigger language plpgsql as $$
begin
  select pack_id into new.pack_id from specimen where id = new.specimen_id for key share;
  return new;
end $$;
