-- What a pack's main leads are.
alter table pack
  add column connector text check (char_length(connector) between 1 and 40),
  add column lead_gauge_awg double precision check (lead_gauge_awg between -3 and 40),
  add column lead_area_mm2 double precision check (lead_area_mm2 > 0 and lead_area_mm2 <= 1000),
  add constraint pack_lead_size_check check (lead_gauge_awg is null or lead_area_mm2 is null);
comment on column pack.connector is 'What the main leads end in, as the trade calls it.';
comment on column pack.lead_gauge_awg is 'Conductor size of one main lead, American wire gauge (ASTM B258).';
comment on column pack.lead_area_mm2 is 'Cross-section of one main lead''s conductor, mm2.';
