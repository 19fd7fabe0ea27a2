import { type ArgumentMetadata, Injectable, type PipeTransform, type Type } from "@nestjs/common";
import { plainToInstance } from "class-transformer";
import { getMetadataStorage, type ValidationError, validate } from "class-validator";
import { type Fault, Problem } from "../problems/problem.js";

const deepestNesting = 32;
const reservedNames = new Set(["__proto__", "constructor", "prototype"]);

/** Checks every input class of both APIs, and answers with all its faults at once, each with its JSON pointer (RFC 6901). */
@Injectable()
export class InputPipe implements PipeTransform {
  async transform(value: unknown, { metatype }: ArgumentMetadata): Promise<unknown> {
    if (!metatype || !isInputClass(metatype)) return value;
    const plain = value ?? {};
    refuseUnreadable(plain);
    const input: object = plainToInstance(metatype, plain);
    const errors = await validate(input, {
      whitelist: true,
      forbidNonWhitelisted: true,
      forbidUnknownValues: true,
      stopAtFirstError: true,
    });
    if (errors.length > 0) throw invalidInput(errors.flatMap((error) => faultsOf(error, "")));
    return input;
  }
}

/** Checks what came another way than as a body or arguments, such as a part of a multipart body. */
export async function checkInput<T extends object>(type: Type<T>, value: unknown): Promise<T> {
  return (await new InputPipe().transform(value, { type: "body", metatype: type })) as T;
}

export function invalidInput(errors: readonly Fault[]): Problem {
  return new Problem("invalid-input", "Mend what `errors` lists and send it again.", { errors });
}

function isInputClass(type: Type): boolean {
  return getMetadataStorage().getTargetValidationMetadatas(type, "", false, false).length > 0;
}

/** Refuses what no input class can be made of, before any code walks it by recursion. */
function refuseUnreadable(value: unknown): void {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw invalidInput([{ pointer: "", message: "must be an object" }]);
  }
  let level: unknown[] = [value];
  for (let depth = 0; level.length > 0; depth++) {
    if (depth > deepestNesting) {
      throw invalidInput([{ pointer: "", message: `must be nested at most ${deepestNesting} levels deep` }]);
    }
    const objects = level.filter((item): item is object => typeof item === "object" && item !== null);
    for (const name of objects.flatMap((item) => Object.keys(item))) {
      if (reservedNames.has(name)) throw invalidInput([{ pointer: "", message: `must have no member ${name}` }]);
    }
    level = objects.flatMap((item): unknown[] => Object.values(item));
  }
}

function faultsOf({ property, constraints, children }: ValidationError, parent: string): Fault[] {
  const pointer = `${parent}/${(property ?? "").replaceAll("~", "~0").replaceAll("/", "~1")}`;
  const own = Object.entries(constraints ?? {}).map(([rule, message]) => ({
    pointer,
    message: rule === "whitelistValidation" ? "is not known here" : message,
  }));
  return [...own, ...(children ?? []).flatMap((child) => faultsOf(child, pointer))];
}
