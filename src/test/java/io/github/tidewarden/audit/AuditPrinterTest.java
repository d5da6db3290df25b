package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.AuditPrinter.Filter;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintWriter;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

class AuditPrinterTest {

  private static final String FILE = "2026-06-01.jsonl";

  private final SimulatedDisk disk = new SimulatedDisk();
  private final ByteArrayOutputStream out = new ByteArrayOutputStream();
  private final ByteArrayOutputStream problems = new ByteArrayOutputStream();

  @BeforeEach
  void anEvening() throws IOException {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    Instant at = Instant.parse("2026-06-01T22:30:00.000Z");
    log.append(new AuditRecord(at, true, 1, "", Kind.START, "started", Map.of()), NIGHT);
    log.append(
        new AuditRecord(at.plusSeconds(60), true, 2, "lagoon", Kind.TRIP, "too high", Map.of()),
        NIGHT);
    log.append(
        new AuditRecord(
            at.plusSeconds(120), false, 3, "nursery", Kind.NOTICE, "\u001b[2Jwave\u202e", Map.of()),
        NIGHT);
    log.sync();
  }

  @Test
  void printsLocalTimeTankKindAndWhy() throws IOException {
    assertThat(text(Filter.ALL))
        .containsExactly(
            "2026-06-01 23:30:00   -            checkpoint     "
                + "the state so far, at the start of a file",
            "2026-06-01 23:30:00   -            start          started",
            "2026-06-01 23:31:00   lagoon       trip           too high",
            "2026-06-01 23:32:00?  nursery      notice         \ufffd[2Jwave\ufffd");
    assertThat(problems.size()).isZero();
  }

  @Test
  void printsTheLinesAsTheyAreInTheLog() throws IOException {
    assertThat(AuditPrinter.printJson(disk, Filter.ALL, writer(out), writer(problems)))
        .isEqualTo(new AuditPrinter.Printed(4, 4));
    assertThat(out.toByteArray()).isEqualTo(disk.bytes(FILE));
  }

  @Test
  void printsOnlyWhatIsAskedFor() throws IOException {
    assertThat(text(new Filter("lagoon", null, null, null))).hasSize(1);
    assertThat(text(new Filter("", null, null, null))).hasSize(2);
    assertThat(text(new Filter(null, Kind.NOTICE, null, null))).hasSize(1);
    assertThat(text(new Filter("lagoon", Kind.NOTICE, null, null))).isEmpty();
    assertThat(
            AuditPrinter.printJson(
                disk, new Filter("lagoon", null, null, null), writer(out), writer(problems)))
        .isEqualTo(new AuditPrinter.Printed(4, 1));
    Instant trip = Instant.parse("2026-06-01T22:31:00Z");
    assertThat(text(new Filter(null, null, trip, null))).hasSize(2);
    assertThat(text(new Filter(null, null, null, trip))).hasSize(2);
    assertThat(text(new Filter(null, null, trip, trip.plusMillis(1)))).hasSize(1);
  }

  @Test
  void marksWhatTheChainDoesNotVouchFor() throws IOException {
    String altered = new String(disk.bytes(FILE), UTF_8).replace("too high", "all well");
    disk.put(FILE, altered.getBytes(UTF_8));
    assertThat(text(Filter.ALL))
        .element(2)
        .isEqualTo("? 2026-06-01 23:31:00   lagoon       trip           all well");
    assertThat(problems.toString(UTF_8)).startsWith(FILE + ":3: does not match its hash");
  }

  @Test
  void goesOnAfterALineThatIsNone() throws IOException {
    String altered = new String(disk.bytes(FILE), UTF_8).replace("\"trip\"", "\"\\u001b[2J\"");
    disk.put(FILE, altered.getBytes(UTF_8));
    assertThat(text(Filter.ALL)).hasSize(3);
    assertThat(problems.toString(UTF_8)).startsWith(FILE + ":3: ").doesNotContain("\u001b");
  }

  private List<String> text(Filter filter) throws IOException {
    out.reset();
    AuditPrinter.printText(disk, filter, ZoneId.of("Europe/Lisbon"), writer(out), writer(problems));
    return out.toString(UTF_8).lines().toList();
  }

  private static PrintWriter writer(ByteArrayOutputStream bytes) {
    return new PrintWriter(bytes, true, UTF_8);
  }
}
