-- What moderators say of packs and accounts.
alter table pack
  add column confirmed_at timestamptz(3),
  add column confirmed_by_id uuid references account,
  add column hidden_at timestamptz(3),
  add constraint pack_confirmed_check check ((confirmed_at is null) = (confirmed_by_id is null));
comment on column pack.confirmed_at is 'When a moderator found it to be as it is registered; null while it is proposed.';
comment on column pack.hidden_at is 'Since when it is shown in no list and ranking; null while it is shown.';

alter table account add column suspended_at timestamptz(3);
comment on column account.suspended_at is 'Since when it may only read and its runs count nowhere; null while it is not suspended.';
