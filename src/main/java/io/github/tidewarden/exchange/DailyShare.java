package io.github.tidewarden.exchange;

import io.github.tidewarden.schedule.OpenWindow;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.List;

/**
 * How much of a night's water is due by now. The share is cut into equal portions, none over the
 * configured one, and they are spread evenly over all the time in which windows are open. A level,
 * not an edge: it is computed anew in each cycle, so a portion that was held up is still due as
 * long as the window is open, and what is still owed at its end lapses.
 */
public final class DailyShare {
  private static final double ROUNDING_LITRES = 1e-9;

  private DailyShare() {}

  /** In how many portions the share is given. */
  public static int portions(ExchangeSpec spec) {
    return (int)
        Math.max(1, Math.ceil(spec.litresPerDay() / spec.portionLitres() - ROUNDING_LITRES));
  }

  /**
   * What ought to have been exchanged by now, L: as many portions as have begun to be due.
   *
   * @param windows every window that opens in the night; with none nothing is due
   * @param now within the night
   */
  public static double dueLitres(ExchangeSpec spec, List<OpenWindow> windows, Instant now) {
    long all = 0;
    long passed = 0;
    boolean begun = false;
    for (OpenWindow window : windows) {
      Instant start = window.interval().start();
      long length = start.until(window.interval().end(), ChronoUnit.NANOS);
      long since = start.until(now, ChronoUnit.NANOS);
      all += length;
      passed += Math.max(0, Math.min(length, since));
      begun |= since >= 0;
    }
    if (!begun) {
      return 0;
    }
    int portions = portions(spec);
    int due = (int) Math.min(portions, Math.floor((double) passed / all * portions) + 1);
    return spec.litresPerDay() * due / portions;
  }
}
