-- Queries look for findings that failed and for those of some rules; forty others of an evaluation are only ever read together.
create table other_findings (
  evaluation_id uuid primary key references evaluation,
  encoding text not null,
  data bytea not null
);
-- They are packed already.
alter table other_findings alter column data set storage external;
create trigger other_findings_is_immutable before update or delete or truncate on other_findings
  for each statement execute function refuse_change();
comment on table other_findings is 'The findings of an evaluation that have no row of finding, together.';
comment on column other_findings.encoding is 'How the data are laid out.';
comment on table finding is
  'A finding that failed, or of a rule that queries look for; of evaluations that have no row of other_findings, each finding.';
