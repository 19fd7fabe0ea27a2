/** x times itself. The operator for powers is left to the engine by ECMA-262, the product is not. */
export const square = (x: number): number => x * x;
