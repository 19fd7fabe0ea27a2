-- How the runs of packs agree with what the packs' other runs predict of them, pack by pack and for each class: read without looking at every pack.
create table validated_pack (
  pack_id uuid primary key references pack on delete cascade,
  model_version integer not null,
  chemistry text not null,
  series integer not null,
  runs bigint not null,
  voltage_squares numeric(38, 12) not null,
  voltage_covered numeric(38, 12) not null,
  timed bigint not null,
  time_errors numeric(38, 12) not null,
  time_squares numeric(38, 12) not null,
  times_covered bigint not null,
  probed bigint not null,
  temperature_errors numeric(38, 12) not null,
  temperature_squares numeric(38, 12) not null,
  temperatures_covered bigint not null,
  check (runs >= 0 and timed between 0 and runs and probed between 0 and runs),
  check (times_covered between 0 and timed and temperatures_covered between 0 and probed)
);
comment on table validated_pack is 'What the runs of a pack add up to, each as its other runs predict it, when its model was fitted last.';
comment on column validated_pack.model_version is 'Of how it was fitted: classes hold each version by itself.';
comment on column validated_pack.voltage_covered is 'Sum of the shares of instants within two standard uncertainties.';

create table validated_class (
  model_version integer not null,
  chemistry text not null,
  series integer not null,
  packs bigint not null check (packs >= 0),
  runs bigint not null,
  voltage_squares numeric(38, 12) not null,
  voltage_covered numeric(38, 12) not null,
  timed bigint not null,
  time_errors numeric(38, 12) not null,
  time_squares numeric(38, 12) not null,
  times_covered bigint not null,
  probed bigint not null,
  temperature_errors numeric(38, 12) not null,
  temperature_squares numeric(38, 12) not null,
  temperatures_covered bigint not null,
  primary key (model_version, chemistry, series)
);
comment on table validated_class is 'Sums of validated_pack over the packs of a class that have validated runs; decimal, so that what is taken away leaves nothing behind.';

-- By the database itself: the sums are those of the packs, whoever changes these.
create function count_validated_pack() returns trigger language plpgsql as $$
begin
  if tg_op <> 'INSERT' then
    update validated_class set packs = packs - case when old.runs > 0 then 1 else 0 end,
      runs = runs - old.runs,
      voltage_squares = voltage_squares - old.voltage_squares,
      voltage_covered = voltage_covered - old.voltage_covered,
      timed = timed - old.timed,
      time_errors = time_errors - old.time_errors,
      time_squares = time_squares - old.time_squares,
      times_covered = times_covered - old.times_covered,
      probed = probed - old.probed,
      temperature_errors = temperature_errors - old.temperature_errors,
      temperature_squares = temperature_squares - old.temperature_squares,
      temperatures_covered = temperatures_covered - old.temperatures_covered
    where model_version = old.model_version and chemistry = old.chemistry and series = old.series;
  end if;
  if tg_op <> 'DELETE' then
    insert into validated_class as class (model_version, chemistry, series, packs, runs, voltage_squares, voltage_covered, timed, time_errors, time_squares, times_covered, probed, temperature_errors, temperature_squares, temperatures_covered)
    values (new.model_version, new.chemistry, new.series, case when new.runs > 0 then 1 else 0 end,
      new.runs, new.voltage_squares, new.voltage_covered, new.timed, new.time_errors, new.time_squares, new.times_covered, new.probed, new.temperature_errors, new.temperature_squares, new.temperatures_covered)
    on conflict (model_version, chemistry, series) do update set packs = class.packs + excluded.packs,
      runs = class.runs + excluded.runs,
      voltage_squares = class.voltage_squares + excluded.voltage_squares,
      voltage_covered = class.voltage_covered + excluded.voltage_covered,
      timed = class.timed + excluded.timed,
      time_errors = class.time_errors + excluded.time_errors,
      time_squares = class.time_squares + excluded.time_squares,
      times_covered = class.times_covered + excluded.times_covered,
      probed = class.probed + excluded.probed,
      temperature_errors = class.temperature_errors + excluded.temperature_errors,
      temperature_squares = class.temperature_squares + excluded.temperature_squares,
      temperatures_covered = class.temperatures_covered + excluded.temperatures_covered;
  end if;
  return null;
end
$$;
create trigger validated_pack_change after insert or update or delete on validated_pack
  for each row execute function count_validated_pack();
