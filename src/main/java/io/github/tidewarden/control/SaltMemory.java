package io.github.tidewarden.control;

import io.github.tidewarden.exchange.SaltWatch;
import java.util.ArrayList;
import java.util.List;

/**
 * What is remembered to hold the salinity of a tank against what its exchange explains, in
 * millionths of a PSU.
 *
 * @param last the salinity before the last portion; {@link #UNKNOWN} before the first
 * @param millilitres the water in the tank then by its level, mL
 * @param salt what has come since, PSU mL
 * @param off what it changed more than explained over the last portions, older ones weighing less;
 *     negative for less salty
 * @param night the same over this night, all alike
 * @param drifts what each of the last nights came to, oldest first
 */
public record SaltMemory(
    long last, long millilitres, long salt, long off, long night, List<Long> drifts) {

  static final long UNKNOWN = -1;

  static final SaltMemory BLANK = new SaltMemory(UNKNOWN, 0, 0, 0, 0, List.of());

  private static final int WEEK = 7;

  /** Copies the list. */
  public SaltMemory {
    drifts = List.copyOf(drifts);
  }

  /** Before a portion. */
  SaltMemory seen(long salinity, long millilitresNow, long offNow, long nightNow) {
    return new SaltMemory(salinity, millilitresNow, 0, offNow, nightNow, drifts);
  }

  /** After something that brought so much salt. */
  SaltMemory plus(long more) {
    return new SaltMemory(last, millilitres, salt + more, off, night, drifts);
  }

  /** Once a night is over. */
  SaltMemory nightOver(long drift) {
    List<Long> next = new ArrayList<>(drifts);
    next.add(drift);
    while (next.size() > WEEK) {
      next.remove(0);
    }
    return new SaltMemory(last, millilitres, salt, off, 0, next);
  }

  /** The tank as it was before the last portion. */
  SaltWatch.Held held() {
    return new SaltWatch.Held(last / 1e6, millilitres / 1e3);
  }

  /** After a keeper has seen to it: what was off before counts no more. */
  SaltMemory settled() {
    return new SaltMemory(UNKNOWN, 0, 0, 0, night, drifts);
  }
}
