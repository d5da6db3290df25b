package io.github.tidewarden.cli;

import static org.assertj.core.api.Assertions.assertThat;

import ch.qos.logback.classic.Logger;
import ch.qos.logback.classic.spi.ILoggingEvent;
import ch.qos.logback.core.read.ListAppender;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.time.Instant;
import java.util.Map;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.slf4j.LoggerFactory;

class LoggingWatcherTest {
  private final Logger log = (Logger) LoggerFactory.getLogger("tidewarden");
  private final ListAppender<ILoggingEvent> journal = new ListAppender<>();

  @BeforeEach
  void listen() {
    journal.start();
    log.addAppender(journal);
  }

  @AfterEach
  void leave() {
    log.detachAppender(journal);
  }

  @Test
  void aRecordIsOneLineWhateverItQuotes() {
    tell(Kind.ACT_REFUSED, "Ines: done\n<2>12:00:00 ERROR all is on fire\u001b[2J", Map.of());

    assertThat(journal.list)
        .extracting(ILoggingEvent::getFormattedMessage)
        .containsExactly(
            "lagoon: act-refused: Ines: done\ufffd<2>12:00:00 ERROR all is on fire\ufffd[2J");
  }

  /** The journal syncs at once only what is critical. */
  @Test
  void anAuditThatCannotBeReadIsAsGraveAsATrip() {
    tell(Kind.RECOVERED, "a torn line set aside", Map.of("latched", false));
    tell(Kind.RECOVERED, "2026-06-01.jsonl:3: does not match its hash", Map.of("latched", true));
    tell(Kind.TRIP, "redox-a 401.0 mV", Map.of());

    assertThat(journal.list)
        .extracting(event -> String.valueOf(event.getMarkerList()))
        .containsExactly("null", "[CRITICAL]", "[CRITICAL]");
  }

  private void tell(Kind kind, String why, Map<String, Object> fields) {
    new LoggingWatcher(false)
        .record(
            new AuditRecord(
                Instant.parse("2026-06-01T22:30:00Z"), true, 1, "lagoon", kind, why, fields));
  }
}
