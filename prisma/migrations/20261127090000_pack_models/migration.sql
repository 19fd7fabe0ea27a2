-- What all runs of a pack together say of it, so that its use can be predicted.
create table pack_model (
  pack_id uuid primary key references pack on delete cascade,
  revision text not null,
  model jsonb check (jsonb_typeof(model) = 'object'),
  missing jsonb not null check (jsonb_typeof(missing) = 'array'),
  validation jsonb not null check (jsonb_typeof(validation) = 'object'),
  fitted_at timestamptz(3) not null default now(),
  check (model is not null or jsonb_array_length(missing) > 0)
);
comment on table pack_model is 'The model that is fitted to all accepted runs of a pack, and how these agree with what the others predict.';
comment on column pack_model.revision is 'SHA-256 of the runs that it was fitted to, with the version of fitting: another one is out of date.';
comment on column pack_model.model is 'Null where the runs do not make a model; missing says what they lack.';
