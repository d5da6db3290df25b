package io.github.tidewarden.cli;

import ch.qos.logback.classic.pattern.ClassicConverter;
import ch.qos.logback.classic.spi.ILoggingEvent;
import org.slf4j.Marker;
import org.slf4j.MarkerFactory;

/**
 * The priority that the system's journal reads at the beginning of a line ({@code <2>} critical to
 * {@code <7>} debug), or nothing when stderr does not go to the journal. The journal syncs at once
 * only from critical up.
 */
public final class JournalPriority extends ClassicConverter {

  /** Marks what must be in the journal at once. */
  public static final Marker CRITICAL = MarkerFactory.getMarker("CRITICAL");

  private static final boolean JOURNAL = System.getenv("JOURNAL_STREAM") != null;

  @Override
  public String convert(ILoggingEvent event) {
    return JOURNAL ? "<" + priority(event) + ">" : "";
  }

  private static int priority(ILoggingEvent event) {
    if (event.getMarkerList() != null && event.getMarkerList().contains(CRITICAL)) {
      return 2;
    }
    return switch (event.getLevel().levelInt) {
      case ch.qos.logback.classic.Level.ERROR_INT -> 3;
      case ch.qos.logback.classic.Level.WARN_INT -> 4;
      case ch.qos.logback.classic.Level.INFO_INT -> 6;
      default -> 7;
    };
  }
}
