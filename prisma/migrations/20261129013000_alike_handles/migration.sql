-- A handle that would be taken for another one is given to nobody. Accounts that are alike already keep their handles.

-- A handle as it is read at a glance: no case, one hyphen for any run of hyphens and underscores and none at the end, 0 as o, 1 and i as l, rn as m,
-- vv as w. The letters are those of Unicode Technical Standard 39, section 4 (skeletons), among what a handle may hold.
create function handle_skeleton(handle text) returns text language sql immutable strict parallel safe
  return replace(replace(translate(rtrim(regexp_replace(lower(handle collate "C"), '[-_]+', '-', 'g'), '-'), '01i', 'oll'), 'rn', 'm'), 'vv', 'w');

alter table account add column alike_before boolean not null default false;
comment on column account.alike_before is 'Whether it was registered, under a handle that looks like an older account''s, before such handles were refused.';
update account set alike_before = true
where exists (select from account as other
  where handle_skeleton(other.handle) = handle_skeleton(account.handle) and other.id < account.id);
create unique index account_handle_skeleton_key on account (handle_skeleton(handle)) where not alike_before;
