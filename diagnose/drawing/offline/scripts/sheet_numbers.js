"use strict";

/** Numbers written as the program writes them on a sheet, digit by digit. */
Diagnose.sheetNumbers = (() => {
  const FIGURES = 6;

  // A whole number; a half goes to the even neighbour, as the program rounds.
  function whole(value) {
    const below = Math.floor(value);
    const rest = value - below;
    if (rest === 0.5) return String(below % 2 === 0 ? below : below + 1);
    return String(rest < 0.5 ? below : below + 1);
  }

  // [digits, exponent] of a number above zero to `figures` figures. A tie, which only a number with few
  // binary digits can be, goes to the even digit; toPrecision alone would go up.
  function rounded(value, figures) {
    const [digits, exponent] = value.toExponential(60).split("e");
    const all = digits.replace(".", "");
    const [kept, left] = [all.slice(0, figures), all.slice(figures)];
    if (/^50*$/.test(left) && Number(kept[figures - 1]) % 2 === 0) return [kept, Number(exponent)];
    const [up, power] = value.toExponential(figures - 1).split("e");
    return [up.replace(".", ""), Number(power)];
  }

  const exponential = (digits, power) => {
    const sign = power < 0 ? "-" : "+";
    const mantissa = digits.length > 1 ? `${digits[0]}.${digits.slice(1)}` : digits;
    return `${mantissa}e${sign}${String(Math.abs(power)).padStart(2, "0")}`;
  };

  // Up to six figures, without noughts at the end; very large and very small ones with a power of ten.
  function general(value) {
    if (value === 0) return Object.is(value, -0) ? "-0" : "0";
    if (value < 0) return `-${general(-value)}`;
    const [all, power] = rounded(value, FIGURES);
    const digits = all.replace(/0+$/, "");
    if (power < -4 || power >= FIGURES) return exponential(digits, power);
    if (power < 0) return `0.${"0".repeat(-power - 1)}${digits}`;
    const before = digits.slice(0, power + 1).padEnd(power + 1, "0");
    const behind = digits.slice(power + 1);
    return behind ? `${before}.${behind}` : before;
  }

  // As few digits as tell the number apart from every other, so that it comes back just as it was.
  function shortest(value) {
    if ((Math.abs(value) < 1e-4 && value !== 0) || Math.abs(value) >= 1e16) {
      const [digits, power] = value.toExponential().split("e");
      const figures = digits.replace("-", "").replace(".", "");
      return (value < 0 ? "-" : "") + exponential(figures, Number(power)).toUpperCase();
    }
    return Object.is(value, -0) ? "-0" : String(value);
  }

  return Object.freeze({ whole, general, shortest });
})();
