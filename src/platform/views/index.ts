export { DeclaredBy, shapeOf } from "./declared.js";
export {
  EnumListField,
  IntListField,
  JsonField,
  ListField,
  NumberListField,
  ObjectField,
  StringListField,
} from "./nested.js";
export { BooleanField, IntField, NumberField } from "./number.js";
export { DateTimeField, EnumField, IdField, SecretField, StringField } from "./text.js";
