package io.github.tidewarden.control;

import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;

/**
 * What was exchanged in the last seven nights and in this year.
 *
 * @param nights the last nights in which something was exchanged, oldest first
 * @param year the year of the youngest night; 0 before the first
 * @param yearOutMillilitres what went out in it
 * @param yearInMillilitres what came in in it
 */
public record WaterLedger(
    List<Night> nights, int year, long yearOutMillilitres, long yearInMillilitres) {

  static final WaterLedger BLANK = new WaterLedger(List.of(), 0, 0, 0);

  /** What is left of the old water when nothing was exchanged, in billionths. */
  static final long ALL_KEPT = 1_000_000_000L;

  private static final int WEEK = 7;

  /**
   * One night.
   *
   * @param night its name
   * @param outMillilitres what went out
   * @param inMillilitres what came in
   * @param kept what its portions together left of the water that was there before, in billionths
   */
  public record Night(LocalDate night, long outMillilitres, long inMillilitres, long kept) {

    private Night plus(long out, long in, long keptOfIt) {
      return new Night(
          night,
          outMillilitres + out,
          inMillilitres + in,
          Math.multiplyExact(kept, keptOfIt) / ALL_KEPT);
    }
  }

  /** Copies the list. */
  public WaterLedger {
    nights = List.copyOf(nights);
  }

  /** With one more portion. */
  WaterLedger plus(LocalDate of, long out, long in, long kept) {
    List<Night> next = new ArrayList<>(nights);
    Night last = next.isEmpty() ? null : next.get(next.size() - 1);
    if (last != null && !last.night().isBefore(of)) {
      next.set(next.size() - 1, last.plus(out, in, kept));
    } else {
      next.add(new Night(of, 0, 0, ALL_KEPT).plus(out, in, kept));
    }
    while (next.size() > WEEK) {
      next.remove(0);
    }
    boolean same = of.getYear() <= year;
    return new WaterLedger(
        next,
        Math.max(year, of.getYear()),
        (same ? yearOutMillilitres : 0) + out,
        (same ? yearInMillilitres : 0) + in);
  }

  /** What went out in a night, mL; portions that were given up count whole. */
  public long outMillilitres(LocalDate asked) {
    return nights.stream()
        .filter(night -> night.night().equals(asked))
        .mapToLong(Night::outMillilitres)
        .sum();
  }

  /** What came in in a night, mL. */
  public long inMillilitres(LocalDate asked) {
    return nights.stream()
        .filter(night -> night.night().equals(asked))
        .mapToLong(Night::inMillilitres)
        .sum();
  }

  /** What went out in the seven nights up to this one, mL. */
  public long weekOutMillilitres(LocalDate last) {
    return week(last).stream().mapToLong(Night::outMillilitres).sum();
  }

  /**
   * Which part of the water is new after the seven nights up to this one, compounded, millionths.
   */
  public long weekNewMillionths(LocalDate last) {
    long kept = ALL_KEPT;
    for (Night night : week(last)) {
      kept = Math.multiplyExact(kept, night.kept()) / ALL_KEPT;
    }
    return (ALL_KEPT - kept) / 1_000;
  }

  private List<Night> week(LocalDate last) {
    return nights.stream()
        .filter(night -> !night.night().isAfter(last))
        .filter(night -> night.night().isAfter(last.minusDays(WEEK)))
        .toList();
  }
}
