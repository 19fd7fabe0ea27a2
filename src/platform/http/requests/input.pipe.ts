import { type ArgumentMetadata, Injectable, type PipeTransform, type Type } from "@nestjs/common";
import { plainToInstance } from "class-transformer";
import { getMetadataStorage, type ValidationError, validate } from "class-validator";
import type { InputError } from "../../../core/inputs/input-error.js";
import { pointerTo } from "../../../core/inputs/input-error.js";
import { findInvalidText } from "../../../core/inputs/invalid-text.js";
import { Problem } from "../../problems/problem.js";
import { CheckedQueries } from "./checked-queries.js";

/** Checks every input class of both APIs, and answers with all its faults at once, each with its JSON pointer (RFC 6901). */
@Injectable()
export class InputPipe implements PipeTransform {
  private readonly checkedQueries = new CheckedQueries();

  async transform(value: unknown, { metatype, type }: ArgumentMetadata): Promise<unknown> {
    if (!metatype || !isInputClass(metatype)) return value;
    const plain = value ?? {};
    if (type === "query") return this.checkedQueries.of(metatype, plain, () => check(metatype, plain));
    return check(metatype, plain);
  }
}

async function check<T extends object>(type: Type<T>, plain: unknown): Promise<T> {
  const unreadable = findInvalidText(plain);
  if (unreadable) throw invalidInput([unreadable]);
  const input = plainToInstance(type, plain);
  const errors = await validate(input, {
    whitelist: true,
    forbidNonWhitelisted: true,
    forbidUnknownValues: true,
    stopAtFirstError: true,
  });
  if (errors.length > 0) throw invalidInput(errors.flatMap((error) => inputErrorsOf(error, "")));
  return input;
}

/** Checks what came another way than as a body or arguments, such as a part of a multipart body. */
export function checkInput<T extends object>(type: Type<T>, value: unknown): Promise<T> {
  return check(type, value ?? {});
}

export function invalidInput(errors: readonly InputError[]): Problem {
  return new Problem("invalid-input", "Fix the problems in `errors` and retry.", { errors });
}

/** Whether a type has rules; they are all there before the first request. */
const inputClasses = new Map<Type, boolean>();

function isInputClass(type: Type): boolean {
  const known = inputClasses.get(type);
  if (known !== undefined) return known;
  const isInput = getMetadataStorage().getTargetValidationMetadatas(type, "", false, false).length > 0;
  inputClasses.set(type, isInput);
  return isInput;
}

function inputErrorsOf({ property, constraints, children }: ValidationError, parent: string): InputError[] {
  const pointer = pointerTo(parent, property ?? "");
  const own = Object.entries(constraints ?? {}).map(([rule, message]) => ({
    pointer,
    message: rule === "whitelistValidation" ? "is not known here" : message,
  }));
  return [...own, ...(children ?? []).flatMap((child) => inputErrorsOf(child, pointer))];
}
