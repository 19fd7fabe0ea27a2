/** JSON texts of values that are answered again and again, each written once for as long as its value is held. */
export class WrittenAnswers<T extends object> {
  private readonly texts = new WeakMap<T, string>();

  constructor(private readonly answerOf: (value: T) => object) {}

  of(value: T): string {
    let text = this.texts.get(value);
    if (text === undefined) {
      text = JSON.stringify(this.answerOf(value));
      this.texts.set(value, text);
    }
    return text;
  }
}
