package io.github.tidewarden.control;

import java.util.Locale;

/** The kinds of audit records. The fields of each stand in the site page on the audit. */
public enum Kind {
  /** First record of a segment: format version and the whole durable state. */
  CHECKPOINT,
  /** The daemon started: version, boot, zone data, configuration digest. */
  START,
  /** The daemon stopped in good order. */
  STOP,
  /** The log was repaired at start: what was moved aside. */
  RECOVERED,
  /** The broker was reached or lost. */
  LINK,
  /** Trust in the wall clock was gained or lost, or the clock was stepped. */
  CLOCK,
  /** A window opened. */
  WINDOW_OPENED,
  /** A window closed, with what was given in it. */
  WINDOW_CLOSED,
  /** A window passed in which the daemon did not run, or nothing could be given. */
  MISSED,
  /** Ozone time was taken from the allowance before it is spent; permits a run. */
  RESERVED,
  /** A run began; written when its first command has been made. */
  RUN,
  /** A run ended: its causes, first one first. */
  REST,
  /** What a dose has taught of how the water answers ozone, or why nothing. */
  LEARNED,
  /** A run's true bound is known; what was reserved and not used goes back. */
  SETTLED,
  /** A portion of water is to be exchanged; permits it. */
  PORTION,
  /** What went out of a portion is known by the level. */
  DRAINED,
  /** A portion is done: what went out and came in. */
  FILLED,
  /** A night's exchange is over: what was owed, what was exchanged, what lapsed. */
  EXCHANGED,
  /** The new water in a bin is not what a keeper confirmed any more. */
  NEW_WATER,
  /** How long top-off may have been held with no pause that counts; or that it had one. */
  TOP_OFF_HELD,
  /** What a cleaning of the skimmer did to its air and to redox. */
  CLEANING,
  /** A keeper's hold is over. */
  HOLD_OVER,
  /** Why a wanted run did not start; written when the causes change. */
  REFUSED,
  /** Something the keeper should know that stops nothing. */
  NOTICE,
  /** An interlock acted. */
  TRIP,
  /** A trip that stood, or a loss that lasted, became latched. */
  LATCHED,
  /** The cause of a trip is over. */
  CLEARED,
  /** A needed signal fell silent or bad while its function ran. */
  SILENT,
  /** A signal became good, uncertain or bad. */
  QUALITY,
  /** A device confirmed, did not confirm, or was on unasked. */
  DEVICE,
  /** A keeper's act that was done. */
  ACT,
  /** A keeper's act that was refused. */
  ACT_REFUSED,
  /** A tank's step failed; the tank is at rest and latched. */
  FAULT;

  /** The word written in the audit, such as {@code window-opened}. */
  public String word() {
    return name().toLowerCase(Locale.ROOT).replace('_', '-');
  }
}
