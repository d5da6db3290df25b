package io.github.tidewarden.audit;

import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.quantity.Moment;
import java.time.LocalDate;
import java.util.Map;

/**
 * One line of a trace. Together they are all that the core was given: from {@link Booted} or {@link
 * Known} on, the same core given the same again decides the same.
 */
public sealed interface TraceEntry {

  /** The form that is written now. */
  int FORMAT = 1;

  /**
   * The first line of a file.
   *
   * @param format {@link #FORMAT}
   * @param program the version that writes
   * @param configDigest SHA-256 of the configuration's bytes, 64 lower-case hex
   * @param site the site's name
   * @param night in which the file begins
   */
  record Opened(int format, String program, String configDigest, String site, LocalDate night)
      implements TraceEntry {}

  /**
   * The daemon started; what the core was given then.
   *
   * @param memory what had been read back from the audit
   * @param boot names the boot of the machine
   * @param recovery what had to be mended in the audit
   * @param readable whether the past could be read back
   * @param start further fields of the start record
   * @param now both clocks
   */
  record Booted(
      SiteMemory memory,
      String boot,
      String recovery,
      boolean readable,
      Map<String, Object> start,
      Moment now)
      implements TraceEntry {}

  /**
   * The whole state of the core before the next event; where a file begins while the daemon runs,
   * and after a gap.
   *
   * @param number events before it in this life of the daemon
   * @param lost events just before it that are missing here; 0 for no gap
   * @param state what a step was given with the next event
   */
  record Known(long number, long lost, SiteState state) implements TraceEntry {}

  /** The moment at which the next events were handled. */
  record At(Moment now) implements TraceEntry {}

  /** An event, at the moment given last. */
  record Happened(Event event) implements TraceEntry {}
}
