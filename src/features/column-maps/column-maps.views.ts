import { InputType, ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { IdField, JsonField, StringField, StringListField } from "../../platform/views/index.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class ColumnMapFields {
  @StringField({ description: "How its owner calls it", max: 80 })
  label: string;

  @StringListField({
    description: "The header row of the logs that it is for, as `log.columns` shows it, cell by cell",
    max: 500,
    longest: 1000,
  })
  header: string[];

  @JsonField({
    description: 'Which column is which: {channel: "header"} or {channel: {name, unit}}, as for a run',
  })
  columns: object;
}

@InputType({ description: "A map of columns to save for logs with the same header row" })
export class ColumnMapInput extends ColumnMapFields {}

@ObjectType("ColumnMap", {
  description: "A tester's word on the columns of every log with this header row; it is applied where no map is sent",
})
export class ColumnMapView extends ColumnMapFields {
  @IdField({ description: "Names the map, to read or delete it" })
  id: string;
}

export const ColumnMapList = listOf(ColumnMapView, "ColumnMap");
export const ColumnMapConnection = connectionOf(ColumnMapView, "ColumnMap");
