package io.github.tidewarden.quantity;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.time.temporal.ChronoUnit;
import java.util.Locale;
import java.util.concurrent.TimeUnit;

/** How numbers and times are written, in one place: decimals are fixed for each unit. */
public final class Figures {
  private static final DateTimeFormatter RECORD_TIME =
      DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss.SSS'Z'", Locale.ROOT)
          .withZone(ZoneId.of("UTC"));
  private static final DateTimeFormatter CLOCK = DateTimeFormatter.ofPattern("HH:mm", Locale.ROOT);
  private static final DateTimeFormatter CLOCK_SECONDS =
      DateTimeFormatter.ofPattern("HH:mm:ss", Locale.ROOT);
  private static final DateTimeFormatter DATE_CLOCK =
      DateTimeFormatter.ofPattern("uuuu-MM-dd HH:mm xxx", Locale.ROOT);

  private Figures() {}

  /**
   * A value of the core as a decimal with its unit's fixed decimals, rounded half up.
   *
   * @throws NumberFormatException when it is not finite
   */
  public static BigDecimal decimal(double value, int decimals) {
    return BigDecimal.valueOf(value).setScale(decimals, RoundingMode.HALF_UP);
  }

  /** "365.0 mV", with the unit's fixed decimals; "no value" when it is not finite. */
  public static String amount(double value, UnitCode unit) {
    return Double.isFinite(value)
        ? decimal(value, unit.decimals()).toPlainString() + " " + unit.code()
        : "no value";
  }

  /** "365 mV" or "2.5 L/min": as {@link #amount} without zeros at the end, for reading. */
  public static String brief(double value, UnitCode unit) {
    if (!Double.isFinite(value)) {
      return "no value";
    }
    BigDecimal decimal = decimal(value, unit.decimals()).stripTrailingZeros();
    return (decimal.scale() < 0 ? decimal.setScale(0) : decimal).toPlainString()
        + " "
        + unit.code();
  }

  /**
   * A span of time in the largest unit up to hours that leaves it whole: "90 min", "5 s", "2 h".
   */
  public static String span(long nanos) {
    if (nanos != 0 && nanos % TimeUnit.HOURS.toNanos(1) == 0) {
      return nanos / TimeUnit.HOURS.toNanos(1) + " h";
    }
    if (nanos != 0 && nanos % TimeUnit.MINUTES.toNanos(1) == 0) {
      return nanos / TimeUnit.MINUTES.toNanos(1) + " min";
    }
    return BigDecimal.valueOf(nanos, 9)
            .setScale(3, RoundingMode.HALF_UP)
            .stripTrailingZeros()
            .toPlainString()
        + " s";
  }

  /** A time for records: RFC 3339 in UTC, cut to milliseconds. */
  public static String recordTime(Instant instant) {
    return RECORD_TIME.format(instant.truncatedTo(ChronoUnit.MILLIS));
  }

  /** Local time of day, "01:30". */
  public static String clock(Instant instant, ZoneId zone) {
    return CLOCK.format(instant.atZone(zone));
  }

  /** Local time of day with seconds, "01:30:05". */
  public static String clockSeconds(Instant instant, ZoneId zone) {
    return CLOCK_SECONDS.format(instant.atZone(zone));
  }

  /** Local date, time and offset, "2026-11-25 01:30 +00:00". */
  public static String dateClock(Instant instant, ZoneId zone) {
    return DATE_CLOCK.format(instant.atZone(zone));
  }
}
