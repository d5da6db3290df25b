package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.rehearsal.Differences.Difference;
import io.github.tidewarden.rehearsal.Replay.Outcome;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;

/**
 * A night of the field station with portions of water, ozone, skimmer air that is lost and a daemon
 * that is killed in a dose, recorded as the daemon does, and run again. What is held against it is
 * the audit, which another part of the program wrote.
 */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
@Execution(ExecutionMode.SAME_THREAD)
class ReplayTest {
  private static final LocalDate NIGHT = LocalDate.of(2026, 1, 14);
  private static final String AIR = "lab/lagoon/skimmer/air";

  @TempDir private static Path stateDir;
  private static Outcome same;
  private static Outcome shifted;

  @BeforeAll
  static void livesThroughANight() throws Exception {
    try (RecordedNight night =
        new RecordedNight(stateDir, lab(), Instant.parse("2026-01-14T11:50:00Z"), 7)) {
      night.until(Instant.parse("2026-01-14T11:56:00Z"));
      Stream.of("lagoon", "nursery")
          .forEach(
              tank ->
                  night.asks(
                      "{\"act\":\"batch\",\"tank\":\""
                          + tank
                          + "\",\"salinity\":\"35 PSU\",\"temperature\":\"25 Cel\","
                          + "\"mixed-for\":\"24 h\",\"by\":\"Ines\"}"));
      night.until(Instant.parse("2026-01-14T12:01:00Z"));
      night.mute.addAll(topics()); // an afternoon without a sound takes no time
      night.until(Instant.parse("2026-01-15T00:50:00Z"));
      night.mute.clear();
      night.until(Instant.parse("2026-01-15T01:35:00Z"));
      night.mute.add(AIR);
      night.until(Instant.parse("2026-01-15T01:37:00Z"));
      night.mute.clear();
      night.until(Instant.parse("2026-01-15T02:00:00Z"));
      night.isKilled();
      night.until(Instant.parse("2026-01-15T02:20:00Z"));
      night.isKilled();
      night.until(Instant.parse("2026-01-15T02:30:00Z"));
    }
    same = replayed(lab());
    shifted = replayed(lab("from: \"01:30\", to: \"03:00\"", "from: \"01:00\", to: \"02:00\""));
  }

  private static Set<String> topics() {
    return new io.github.tidewarden.control.Site(lab()).topics();
  }

  /** The field station with changes: what stands there, and what in its place. */
  private static SiteSpec lab(String... changes) {
    try {
      Path file = Path.of("config/harbour-lab.yaml");
      String text = Files.readString(file);
      for (int i = 0; i < changes.length; i += 2) {
        assertThat(text).contains(changes[i]);
        text = text.replace(changes[i], changes[i + 1]);
      }
      return ConfigReader.read(file, text.getBytes(StandardCharsets.UTF_8)).site();
    } catch (Exception e) {
      throw new IllegalStateException(e);
    }
  }

  private static Outcome replayed(SiteSpec against) throws IOException {
    return replayed(NIGHT, against);
  }

  private static Outcome replayed(LocalDate night, SiteSpec against) throws IOException {
    return Replay.outcome(new Replay.Task(stateDir, night, lab(), against));
  }

  private static List<Difference> differences(Outcome outcome) {
    return Differences.about(
        outcome.recorded().records,
        Objects.requireNonNull(outcome.otherwise()).records,
        outcome.stretches().get(0).from.wall());
  }

  private static Tale.OfTank otherwise(Outcome outcome) {
    return Objects.requireNonNull(
        Objects.requireNonNull(outcome.otherwise()).tanks().get("lagoon"));
  }

  @Test
  void theSameConfigurationDecidesTheSame() throws Exception {
    Outcome outcome = same;
    assertThat(outcome.remarks()).isEmpty();
    assertThat(outcome.differences()).isEmpty();
    assertThat(outcome.stretches()).hasSize(3);
    assertThat(outcome.compared()).isGreaterThan(50);
    assertThat(outcome.recorded().records)
        .extracting(record -> record.kind())
        .contains(Kind.PORTION, Kind.FILLED, Kind.RUN, Kind.REST, Kind.SILENT, Kind.START);
    Tale.OfTank lagoon = Objects.requireNonNull(outcome.recorded().tanks().get("lagoon"));
    assertThat(lagoon.runs).isGreaterThan(1);
    Tale.OfTank nursery = Objects.requireNonNull(outcome.recorded().tanks().get("nursery"));
    assertThat(nursery.portions).isNotEmpty();
    assertThat(nursery.outMillilitres).isBetween(100L, 1_800L);
    assertThat(new Replayed(outcome).text())
        .contains(outcome.compared() + " records, all the same");
    assertThat(new Replayed(outcome).same()).isTrue();
  }

  /** An audit that says something else than what was decided is noticed by its very record. */
  @Test
  void aRecordThatWasNotDecidedIsADifference() {
    List<AuditRecord> decided = same.recorded().records;
    List<AuditRecord> audit = new ArrayList<>(decided);
    AuditRecord one = audit.get(audit.size() / 2);
    AuditRecord altered =
        new AuditRecord(
            one.at(),
            one.trusted(),
            one.monoMillis(),
            one.tank(),
            one.kind(),
            one.why() + ".",
            one.fields());
    audit.set(audit.size() / 2, altered);
    assertThat(Differences.exact(audit, decided))
        .containsExactlyInAnyOrder(new Difference(altered, true), new Difference(one, false));
    audit.remove(altered);
    assertThat(Differences.exact(audit, decided)).containsExactly(new Difference(one, false));
  }

  /** The trace of this night begins while the daemon runs, and has two starts in doses. */
  @Test
  void theSameConfigurationAsAnotherDiffersInNothing() {
    Outcome outcome = same;
    assertThat(differences(outcome)).isEmpty();
    assertThat(new Replayed(outcome).text()).contains("no record would have differed");
    Tale.OfTank was = Objects.requireNonNull(outcome.recorded().tanks().get("lagoon"));
    assertThat(otherwise(outcome).runs).isEqualTo(was.runs);
    assertThat(otherwise(outcome).ozoneTime().minus(was.ozoneTime()).abs())
        .isLessThan(java.time.Duration.ofSeconds(2));
  }

  /**
   * The trace of the night before begins with a start. Sixty minutes of ozone are not used up
   * there, so one more changes nothing, but the lagoon is decided anew.
   */
  @Test
  void norDoesOneThatDoesNotMatterInANightThatBeginsWithAStart() throws Exception {
    LocalDate before = NIGHT.minusDays(1);
    for (SiteSpec against : List.of(lab(), lab("per-night: 60 min", "per-night: 61 min"))) {
      Outcome outcome = replayed(before, against);
      assertThat(outcome.recorded().records)
          .extracting(AuditRecord::kind)
          .contains(Kind.START, Kind.LINK, Kind.QUALITY, Kind.ACT);
      assertThat(differences(outcome)).isEmpty();
    }
  }

  @Test
  void aTankOfWhichBothSayTheSameDecidesTheSame() throws Exception {
    Outcome outcome = replayed(lab("portion: 200 mL", "portion: 150 mL"));
    assertThat(differences(outcome)).extracting(one -> one.record().tank()).containsOnly("nursery");
    assertThat(otherwise(outcome)).isSameAs(outcome.recorded().tanks().get("lagoon"));
  }

  /** Of two that share a line for waste, one waits for the other. */
  @Test
  void aTankThatSharesWithOneThatIsNotTheSameIsDecidedAnew() {
    String[] shares = {
      "\ntanks:\n", "\nshared: { waste-line: {} }\ntanks:\n",
      "    water: 340 L", "    shares: [waste-line]\n    water: 340 L",
      "    water: 60 L", "    shares: [waste-line]\n    water: 60 L",
      "portion: 200 mL", "portion: 200 mL"
    };
    SiteSpec recorded = lab(shares);
    assertThat(OtherCore.alike(recorded, lab(shares))).containsExactly("", "lagoon", "nursery");
    shares[shares.length - 1] = "portion: 150 mL";
    assertThat(OtherCore.alike(recorded, lab(shares))).isEmpty();
    assertThat(OtherCore.alike(lab(), lab("zone: Europe/Lisbon", "zone: Europe/Madrid"))).isEmpty();
  }

  @Test
  void oneIsSaidAsOne() {
    List<AuditRecord> records = same.recorded().records;
    AuditRecord portion =
        records.stream().filter(one -> one.kind() == Kind.PORTION).findFirst().orElseThrow();
    Tale without = new Tale(lab());
    records.stream().filter(one -> !one.equals(portion)).forEach(without::recorded);
    List<Difference> differences = List.of(new Difference(portion, true));
    Outcome one =
        new Outcome(
            same.task(),
            same.stretches(),
            same.digests(),
            List.of(),
            1,
            1,
            differences,
            same.recorded(),
            without,
            same.redox());
    assertThat(new Replayed(one).text())
        .contains("note: 1 record of that night is outside of what is replayed\n")
        .contains("1 record, and 1 difference: - as recorded")
        .contains("1 record differs: - as recorded");
  }

  /**
   * Half an hour earlier no generator of that night was on, so all reports are made up; after 02:00
   * it ran, as was recorded, while this core had it at rest.
   */
  @Test
  void anotherWindowGivesOzoneThenAndNotAtOtherTimes() {
    List<Tale.Span> ozone = otherwise(shifted).ozone;
    assertThat(ozone.get(0).from())
        .isBetween(Instant.parse("2026-01-15T01:00:00Z"), Instant.parse("2026-01-15T01:05:00Z"));
    assertThat(ozone).allMatch(span -> !span.to().isAfter(Instant.parse("2026-01-15T02:00:01Z")));
    assertThat(Objects.requireNonNull(shifted.otherwise()).records)
        .filteredOn(record -> String.valueOf(record.fields().get("name")).startsWith("generator"))
        .as("but a last, shorter lease, which is made up to end a moment before it is told to rest")
        .allMatch(record -> !record.at().isBefore(Instant.parse("2026-01-15T01:59:55Z")));
    assertThat(shifted.differences()).as("what was recorded is still the same").isEmpty();
    assertThat(new Replayed(shifted).text())
        .contains("The water is as recorded; it would have answered otherwise.")
        .contains("records differ: - as recorded, + otherwise")
        .containsPattern("- 2026-01-15 02:\\d\\d:\\d\\d lagoon +run ")
        .containsPattern("\\+ 2026-01-15 01:0\\d:\\d\\d lagoon +run ");
  }

  @Test
  void thePictureHasTwoStripsOfEachTank() throws Exception {
    String page = new Replayed(shifted).page();
    assertThat(page.split("<svg ", -1)).hasSize(1 + 2 * 2);
    assertThat(page)
        .contains("class=\"ozone\"", "class=\"portion\"", "class=\"trip\"", "class=\"ceiling\"")
        .contains("class=\"redox\"", "The water is as recorded")
        .doesNotContain("http://", "https://", "NaN");
    Files.writeString(Path.of("target", "replay.html"), page);
  }

  @Test
  void aNightWithoutATraceIsSaidToBeOne() throws Exception {
    Outcome outcome = Replay.outcome(new Replay.Task(stateDir, NIGHT.minusDays(5), lab(), null));
    assertThat(new Replayed(outcome).traced()).isFalse();
    assertThat(new Replayed(outcome).text()).contains("no trace of that night");
  }
}
