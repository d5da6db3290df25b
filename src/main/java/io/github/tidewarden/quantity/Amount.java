package io.github.tidewarden.quantity;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A value as a keeper writes it: an exact decimal number, one space, a unit. There is no default
 * unit.
 *
 * @param number the number, finite by its type
 * @param unit its unit
 */
public record Amount(BigDecimal number, UnitCode unit) {

  /** Most digits before or after the decimal point. */
  private static final int MAX_DIGITS = 15;

  private static final Pattern NUMBER =
      Pattern.compile("-?[0-9]{1,%1$d}(\\.[0-9]{1,%1$d})?".formatted(MAX_DIGITS));

  private static final String CELSIUS = UnitCode.DEGREE_CELSIUS.code();

  /** How people write a degree Celsius, whose unit code is another. */
  private static final Set<String> DEGREES = Set.of("C", "\u00b0C", "\u2103");

  private static final Pattern NUMBER_AND_REST = Pattern.compile("([-0-9.]+)\\s*([^\\s0-9]*)");

  /**
   * Reads "340 L".
   *
   * @param text number, one space, unit code
   * @param wanted what it must measure
   * @throws NotAnAmountException when it is anything else, saying what would be right
   */
  public static Amount parse(String text, Dimension wanted) throws NotAnAmountException {
    int space = text.indexOf(' ');
    String number = space < 0 ? text : text.substring(0, space);
    String code = text.substring(space + 1);
    if (space < 0 || code.startsWith(" ") || !NUMBER.matcher(number).matches()) {
      throw notNumberSpaceUnit(text, wanted);
    }
    Optional<UnitCode> unit = UnitCode.of(code);
    if (unit.isEmpty()) {
      throw new NotAnAmountException(
          "\"" + code + "\" is not a unit", remedy(number, code, wanted));
    }
    if (unit.get().dimension() != wanted) {
      throw new NotAnAmountException(
          "\"" + text + "\" is " + unit.get().dimension().words() + ", not " + wanted.words(),
          remedy(number, code, wanted));
    }
    return new Amount(new BigDecimal(number), unit.get());
  }

  private static NotAnAmountException notNumberSpaceUnit(String text, Dimension wanted) {
    Matcher parts = NUMBER_AND_REST.matcher(text);
    if (parts.matches() && NUMBER.matcher(parts.group(1)).matches()) {
      String code = parts.group(2);
      String wrong =
          code.isEmpty()
              ? "\"" + text + "\" has no unit"
              : "\"" + text + "\" does not have exactly one space before its unit";
      return new NotAnAmountException(wrong, remedy(parts.group(1), code, wanted));
    }
    return new NotAnAmountException(
        "\"" + text + "\" is not a plain decimal number and a unit", remedy("", "", wanted));
  }

  /** The amount with the unit that was probably meant, or every unit that would do. */
  private static String remedy(String number, String code, Dimension wanted) {
    return wanted.units().stream()
        .map(UnitCode::code)
        .filter(known -> known.equalsIgnoreCase(DEGREES.contains(code) ? CELSIUS : code))
        .findFirst()
        .map(known -> "\"" + number + " " + known + "\"")
        .orElse(wanted.words() + " in " + wanted.codes() + ", as number, space, unit");
  }

  /**
   * The number in another unit.
   *
   * @throws IllegalArgumentException when that unit is of another dimension
   */
  public double in(UnitCode other) {
    return unit.convert(number, other).doubleValue();
  }

  /**
   * A time in whole nanoseconds, rounded down, at most {@link Long#MAX_VALUE}.
   *
   * @throws IllegalArgumentException when it is not a time
   */
  public long nanos() {
    BigDecimal nanos = unit.convert(number, UnitCode.MILLISECOND).movePointRight(6);
    return nanos
        .min(BigDecimal.valueOf(Long.MAX_VALUE))
        .max(BigDecimal.valueOf(Long.MIN_VALUE))
        .setScale(0, RoundingMode.FLOOR)
        .longValueExact();
  }

  /** Whether it is over zero. */
  public boolean positive() {
    return number.signum() > 0;
  }

  /** As it was written: {@code parse(format())} gives the same amount. */
  public String format() {
    return number.toPlainString() + " " + unit.code();
  }

  @Override
  public String toString() {
    return format();
  }
}
