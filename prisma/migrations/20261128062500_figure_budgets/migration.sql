create table figure_budget (
  evaluation_id uuid primary key references evaluation,
  encoding text not null,
  data bytea not null
);
-- It is packed already.
alter table figure_budget alter column data set storage external;
create trigger figure_budget_is_immutable before update or delete or truncate on figure_budget
  for each statement execute function refuse_change();
comment on table figure_budget is 'What the uncertainties of an evaluation''s figures are made of.';
comment on column figure_budget.encoding is 'How the data are laid out.';
comment on column figure.budget is 'What its uncertainty is made of, where its evaluation has no row of figure_budget.';
