package io.github.tidewarden.audit;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.core.JsonGenerator;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.zip.GZIPInputStream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What the core is given, on the disk and back. */
class TraceTest {
  private static final LocalDate NIGHT = LocalDate.of(2026, 1, 14);
  private static final ZoneId ZONE = ZoneId.of("Europe/Lisbon");

  @TempDir private Path directory;
  private Path traces;
  private Site site;
  private SiteState state;
  private Moment now = new Moment(Instant.parse("2026-01-14T21:00:00.000123Z"), 3_600_000, true);
  private Trace trace;

  @BeforeEach
  void bootsOnSmallestSite() throws Exception {
    traces = directory.resolve("trace");
    site = new Site(ConfigReader.read(Path.of("config/smallest.yaml")).site());
    trace = trace();
  }

  private Trace trace() {
    return new Trace(traces, "1", "f".repeat(64), "harbour-lab", ZONE);
  }

  private void boots() {
    TraceEntry.Booted boot =
        new TraceEntry.Booted(SiteMemory.BLANK, "boot-1", "", true, Map.of("version", "1"), now);
    trace.booted(boot);
    state = site.boot(boot.memory(), boot.boot(), "", true, boot.start(), now).state();
  }

  private void happens(Event event) {
    trace.happens(state, event, now);
    state = site.step(state, event, now).state();
  }

  private void passes(Duration time) {
    now = new Moment(now.wall().plus(time), now.monoNanos() + time.toNanos(), now.trusted());
  }

  private Event heard(String text) {
    return heard(text.getBytes(StandardCharsets.UTF_8));
  }

  private Event heard(byte[] payload) {
    return new Event.Heard(new Reading(7, "lab/lagoon/redox", payload, false, now));
  }

  private record Read(List<TraceEntry> entries, List<String> damaged) {
    List<Event> events() {
      List<Event> events = new ArrayList<>();
      for (TraceEntry entry : entries) {
        if (entry instanceof TraceEntry.Happened happened) {
          events.add(happened.event());
        }
      }
      return events;
    }

    <T> List<T> all(Class<T> kind) {
      return entries.stream().filter(kind::isInstance).map(kind::cast).toList();
    }
  }

  private Read read(LocalDate night) throws IOException {
    List<TraceEntry> entries = new ArrayList<>();
    List<String> damaged = new ArrayList<>();
    TraceReader.read(
        traces,
        night,
        new TraceReader.Visitor() {
          @Override
          public void entry(TraceEntry entry) {
            entries.add(entry);
          }

          @Override
          public void damaged(String where, String what) {
            damaged.add(where + ": " + what);
          }
        });
    return new Read(entries, damaged);
  }

  private static String text(SiteState state) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    try (JsonGenerator json = TraceFormat.writer(out)) {
      TraceFormat.write(json, new TraceEntry.Known(0, 0, state));
    }
    return out.toString(StandardCharsets.UTF_8);
  }

  @Test
  void everyKindOfEventComesBackAsItWas() throws Exception {
    trace.start();
    boots();
    byte[] notText = {(byte) 0xff, 0, 1};
    List<Event> all =
        List.of(
            new Event.LinkUp(),
            heard("320.5"),
            heard(notText),
            new Event.Lost("lab/lagoon/redox"),
            new Event.Refused(Set.of("b", "a"), "0x87"),
            new Event.Tick(),
            new Event.Undelivered("lagoon", "the link did not take it"),
            new Event.Synced(17),
            new Event.Unwritten(18, "no space left"),
            new Event.Stalled(4_000_000_001L),
            new Event.ClockChanged("the wall clock is trusted"),
            new Event.Asked(new Request(3, "{\"by\":\"Zoë\"}".getBytes(StandardCharsets.UTF_8))),
            new Event.TurnedAway(new Request(0, notText), "too many"),
            new Event.LinkDown("gone"),
            new Event.Stopping("told to"));
    all.forEach(this::happens);
    trace.close(Duration.ofSeconds(20));

    Read read = read(NIGHT);
    assertThat(read.damaged()).isEmpty();
    assertThat(all.stream().map(Event::getClass).distinct())
        .containsExactlyInAnyOrder(castAll(Event.class.getPermittedSubclasses()));
    assertThat(read.events()).usingRecursiveComparison().isEqualTo(all);
    assertThat(read.entries().get(0))
        .isEqualTo(new TraceEntry.Opened(1, "1", "f".repeat(64), "harbour-lab", NIGHT));
    assertThat(read.all(TraceEntry.Booted.class)).hasSize(1);
    assertThat(read.all(TraceEntry.At.class)).containsExactly(new TraceEntry.At(now));
  }

  @SuppressWarnings("unchecked")
  private static Class<? extends Event>[] castAll(Class<?>[] classes) {
    return (Class<? extends Event>[]) classes;
  }

  /** The gzip reader of Java knows nothing of blocks: it reads members one after the other. */
  @Test
  void anyGzipProgramReadsIt() throws Exception {
    trace.start();
    boots();
    for (int i = 0; i < 20_000; i++) {
      passes(Duration.ofMillis(37));
      happens(heard(Integer.toString(300 + i % 50)));
      if (i % 2_000 == 0) {
        trace.awaitTaken();
      }
    }
    trace.close(Duration.ofSeconds(20));
    byte[] file = Files.readAllBytes(traces.resolve("2026-01-14.trace.gz"));
    List<String> lines =
        new String(
                new GZIPInputStream(new ByteArrayInputStream(file)).readAllBytes(),
                StandardCharsets.UTF_8)
            .lines()
            .toList();
    assertThat(lines).hasSize(2 + 2 * 20_000).allMatch(line -> line.startsWith("{\""));
    assertThat(read(NIGHT).events()).hasSize(20_000);

    for (int cut : new int[] {file.length - 1, file.length / 2, file.length / 3}) {
      Files.write(traces.resolve("2026-01-14.trace.gz"), java.util.Arrays.copyOf(file, cut));
      Read torn = read(NIGHT);
      assertThat(torn.damaged()).hasSize(1);
      assertThat(torn.events()).hasSizeBetween(1, 19_999);
    }
    file[file.length / 2] ^= 0x10;
    Files.write(traces.resolve("2026-01-14.trace.gz"), file);
    assertThat(read(NIGHT).damaged()).hasSize(1);
  }

  @Test
  void theStateComesBackSuchThatTheCoreGoesOnTheSame() throws Exception {
    trace.start();
    boots();
    happens(new Event.LinkUp());
    for (int i = 0; i < 100; i++) {
      passes(Duration.ofSeconds(1));
      happens(heard("320"));
    }
    passes(Duration.between(now.wall(), Instant.parse("2026-01-15T12:00:00Z")));
    SiteState before = state;
    happens(new Event.Tick());
    trace.close(Duration.ofSeconds(20));

    Read read = read(NIGHT.plusDays(1));
    TraceEntry.Known known = read.all(TraceEntry.Known.class).get(0);
    assertThat(known.number()).isEqualTo(101);
    assertThat(known.lost()).isZero();
    assertThat(text(known.state())).isEqualTo(text(before));
    List<Effect> live = site.step(before, new Event.Tick(), now).effects();
    List<Effect> replayed = site.step(known.state(), new Event.Tick(), now).effects();
    assertThat(replayed).usingRecursiveComparison().isEqualTo(live);
  }

  @Test
  void whatFindsNoRoomIsAGapAfterWhichTheStateIsKnown() throws Exception {
    boots(); // its thread does not run yet, as if the disk hung
    for (int i = 0; i < Trace.MOST_WAITING + 500; i++) {
      passes(Duration.ofMillis(1));
      happens(new Event.Tick());
    }
    trace.start();
    trace.awaitTaken();
    SiteState before = state;
    happens(new Event.Tick());
    trace.close(Duration.ofSeconds(20));

    List<TraceEntry.Known> known = read(NIGHT).all(TraceEntry.Known.class);
    assertThat(known).hasSize(1);
    assertThat(known.get(0).lost()).isEqualTo(501); // the start took one place
    assertThat(known.get(0).number()).isEqualTo(Trace.MOST_WAITING + 500);
    assertThat(text(known.get(0).state())).isEqualTo(text(before));
  }

  @Test
  void aDiskThatFailsDisturbsNobody() throws Exception {
    Files.writeString(traces, "a file where the directory should be");
    trace.start();
    boots();
    happens(new Event.Tick());
    trace.close(Duration.ofSeconds(20));
    assertThat(traces).hasContent("a file where the directory should be");
  }

  @Test
  void fourteenNightsAreKept() throws Exception {
    trace.start();
    boots();
    for (int i = 0; i < 20; i++) {
      passes(Duration.ofDays(1));
      happens(new Event.Tick());
    }
    trace.close(Duration.ofSeconds(20));
    assertThat(TraceReader.nights(traces))
        .hasSize(TraceWriter.MOST_NIGHTS + 1) // and the one that is being written
        .endsWith(NIGHT.plusDays(20));
  }

  @Test
  void eachStartBeginsAFile() throws Exception {
    for (int i = 0; i < 3; i++) {
      trace = trace();
      trace.start();
      boots();
      happens(new Event.Tick());
      trace.close(Duration.ofSeconds(20));
    }
    assertThat(TraceWriter.names(traces))
        .extracting(TraceName::toString)
        .containsExactly("2026-01-14.trace.gz", "2026-01-14.1.trace.gz", "2026-01-14.2.trace.gz");
    assertThat(read(NIGHT).all(TraceEntry.Booted.class)).hasSize(3);
  }

  /** Some tens of nanoseconds; the bound leaves room for a machine that serves others too. */
  @Test
  void layingDownTakesNoTimeToSpeakOf() throws Exception {
    trace.start();
    boots();
    Event event = heard("320");
    long nanos = 0;
    int rounds = 50;
    long each = 4_000;
    for (int i = 0; i < rounds; i++) {
      trace.awaitTaken();
      long began = System.nanoTime();
      for (int j = 0; j < each; j++) {
        trace.happens(state, event, now);
      }
      nanos += System.nanoTime() - began;
    }
    trace.close(Duration.ofSeconds(20));
    assertThat(nanos / (rounds * each)).isLessThan(TimeUnit.MICROSECONDS.toNanos(20));
    System.out.printf("laid down in %d ns each%n", nanos / (rounds * each));
  }
}
