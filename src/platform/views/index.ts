export { EnumChoices, IntChoices, StringChoices } from "./choices.js";
export { DeclaredBy, shapeOf } from "./declared.js";
export { declareEnum } from "./enumeration.js";
export { ALL_FIGURE_KEYS } from "./enums.js";
export {
  EnumListField,
  IdListField,
  IntListField,
  JsonField,
  ListField,
  NumberListField,
  ObjectField,
  StringListField,
} from "./nested.js";
export { BooleanField, IntField, NumberField } from "./number.js";
export { QueryListField } from "./query-lists.js";
export { DateTimeField, EnumField, IdField, SecretField, StringField } from "./text.js";
