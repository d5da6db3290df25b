package io.github.tidewarden.schedule;

/** What the keeper lets vouch for the wall clock. */
public enum ClockSource {
  /** The time service, by the marker that it touches whenever it has set or checked the clock. */
  SYNCHRONISED,
  /** The keeper, who has declared a clock that runs on through a power cut. */
  BATTERY_BACKED
}
