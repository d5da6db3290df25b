package io.github.tidewarden.review;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.networknt.schema.Schema;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.RecordedWater;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Exchanges of water that the real core recorded, as a keeper reads them. The figures are ours. */
class ToldWaterTest {
  static final ReviewedSite SITE =
      ReviewedSite.of(RecordedWater.site(), Map.of(), "harbour-lab.yaml");
  private static final LocalDate NIGHT = LocalDate.of(2026, 1, 14);

  static Review review(List<AuditRecord> records) {
    return Review.ofNight(Past.of(records), SITE, NIGHT);
  }

  private static String text(RecordedWater water) {
    String text = review(water.records()).text();
    assertThat(text.lines()).allMatch(line -> line.length() <= Page.WIDTH);
    return text.replaceAll("\\s+", " ");
  }

  private static JsonNode lagoon(List<AuditRecord> records) {
    try {
      String json = review(records).json();
      ReviewSchema.assertDescribes(ReviewSchema.read(), json);
      return new ObjectMapper().readTree(json).at("/nights/0/tanks/0");
    } catch (IOException e) {
      throw new IllegalStateException(e);
    }
  }

  /** A whole day in its portions; what it came to is what the daemon itself holds true. */
  @Test
  void aDayOfExchangeReadsLikeThis() throws IOException {
    RecordedWater water = RecordedWater.evening(1).live(9 * 3600 + 60);
    String page = Files.readString(Path.of("src/site/markdown/review.md"));
    assertThat(withoutFigures(page)).contains(withoutFigures(review(water.records()).text()));
    JsonNode tank = lagoon(water.records());
    var memory = water.memory().tank("lagoon").water();
    assertThat(tank.path("outcome").textValue()).isEqualTo("good");
    assertThat(tank.at("/water/owed-ml").longValue()).isEqualTo(10_200);
    assertThat(tank.at("/water/out-ml").longValue()).isEqualTo(memory.drainedInNight(NIGHT));
    assertThat(tank.at("/water/in-ml").longValue()).isEqualTo(memory.ledger().inMillilitres(NIGHT));
    assertThat(tank.at("/water/missed").booleanValue()).isFalse();
    assertThat(tank.at("/water/portions")).hasSize(21);
    // 3 % of the water in portions of a 21st of that each, drained before they are filled again
    assertThat(tank.at("/water/sums/week-new-percent").doubleValue())
        .isBetween(2.9, 100 * (1 - Math.pow(1 - 0.03 / 21, 21)) + 0.05);
    assertThat(tank.at("/water/salt-drift-psu").isNumber()).isTrue();
    assertThat(tank.at("/water/new-water/batch/by").textValue()).isEqualTo("rosa");
  }

  /** What the pumps learn in a day is to the millilitre, and no promise of a page. */
  private static String withoutFigures(String text) {
    return text.replaceAll("\\d+(\\.\\d+)?", "#").replaceAll("\\s+", " ");
  }

  @Test
  void aShareThatWasMissedForWantOfNewWaterNeedsAHand() {
    RecordedWater water =
        RecordedWater.unconfirmed(2).live(60).jumpsTo("2026-01-14T21:50:00Z").live(660);
    assertThat(text(water))
        .contains(
            "It needs a hand: the new water of lagoon is not confirmed, and until it is none is"
                + " exchanged.")
        .contains(
            "Water: 0 L went out and 0 L came in, of 10.2 L owed. Missed, and lapsed: 10.2 L; no"
                + " batch of new water is confirmed; measure it and confirm it (batch).")
        .contains("New water of lagoon: none is confirmed.");
    water.confirms().live(5);
    List<AuditRecord> later = new ArrayList<>();
    // The next noon is the end of the night; what is recorded then is of the next.
    water
        .records()
        .forEach(record -> later.add(record.kind() == Kind.ACT ? nextDay(record) : record));
    assertThat(review(later).text().replaceAll("\\s+", " "))
        .contains("It did not go as planned: 10.2 L of the exchange were missed;")
        .contains("It was confirmed later, by rosa.");
  }

  private static AuditRecord nextDay(AuditRecord record) {
    return new AuditRecord(
        record.at().plusSeconds(86_400),
        record.trusted(),
        record.monoMillis() + 86_400_000,
        record.tank(),
        record.kind(),
        record.why(),
        record.fields());
  }

  @Test
  void aPortionUnderWayIsToldAsSuch() {
    RecordedWater water = RecordedWater.evening(3).untilPhase("DRAINING").live(20);
    assertThat(text(water))
        .contains("It is not over in the records; so far it went well, and nothing needs a hand.")
        .contains("Water: so far 0.486 L went out and 0 L came in, of 10.2 L a day.")
        .contains("no. 1: of 0.486 L; under way, what went out is not known yet");
    water.untilPhase("FILLING");
    assertThat(text(water))
        .containsPattern(
            "no\\. 1: of 0\\.486 L; under way, 0\\.[45]\\d+ L went out and is not in again");
    JsonNode told = lagoon(water.records());
    assertThat(told.path("outcome").textValue()).isEqualTo("open");
    assertThat(told.at("/water/portions/0/stage").textValue()).isEqualTo("under-way");
  }

  @Test
  void aPortionThatALatchLeavesHalfDoneIsNamedWithIt() {
    RecordedWater water =
        RecordedWater.evening(4).untilPhase("FILLING").live(20).floor("wet").live(5);
    assertThat(text(water))
        .contains(
            "It needs a hand: leak is latched and stops ozone, exchange and top-off until it is"
                + " reset. Portion 1 is half done.");
  }

  /** Still waiting when the windows of its night are over. */
  @Test
  void aPortionLeftHalfDoneIsWorthALook() {
    RecordedWater water =
        RecordedWater.evening(5).jumpsTo("2026-01-14T21:40:00Z").untilPhase("FILLING").live(20);
    water.returnRuns(false).live(15 * 60);
    assertThat(text(water))
        .containsPattern("It did not go as planned: 9\\.[67]\\d* L of the exchange were missed, p")
        .contains("portion 1 is half done")
        .doesNotContain("not over in the records");
  }

  @Test
  void aPortionThatWentWrongTellsItsTripAndThatItWasGivenUp() {
    RecordedWater water =
        RecordedWater.evening(6).untilPhase("DRAINING").drains(0).untilLatched().live(5);
    assertThat(text(water))
        .contains("It needs a hand: drain-blocked is latched and stops exchange until it is reset.")
        .contains("--interlock drain-blocked --by NAME");
    water.asks("reset", "name", "drain-blocked", "text", "hose cleared");
    assertThat(text(water))
        .contains("drain-blocked: 0 L went out, asked for 0.486 L. It stops exchange;")
        .contains("reset by rosa at")
        .contains("a portion was given up")
        .containsPattern("no\\. 1: of 0\\.486 L; given up, and counts in full")
        .contains("rosa reset drain-blocked: hose cleared");
  }

  @Test
  void whatAKeeperDidIsToldInTheKeepersWords() {
    RecordedWater water =
        RecordedWater.evening(7)
            .asks("calibrate", "name", "drain", "measured", "480 mL", "for", "120 s")
            .asks("note", "text", "cup emptied", "skimmate", "1 L")
            .asks("hold", "name", "exchange", "for", "20 min", "text", "feeding")
            .live(60)
            .asks("release", "name", "exchange")
            .asks("hold", "until", "2026-01-20", "text", "copper");
    assertThat(text(water))
        .contains("rosa confirmed new water for lagoon: 120 L of 35 PSU, 25.0 °C, mixed for 4 h")
        .contains("rosa calibrated pump drain to 240 mL/min")
        .contains("rosa noted: cup emptied (1 L skimmate)")
        .contains("Pump drain is calibrated to 240 mL/min, configured as 250 mL/min.")
        .containsPattern(
            "exchange by rosa since 12:59:\\d\\d until 13:19:\\d\\d: feeding; ended by rosa at 13:00")
        .containsPattern("tank by rosa since 13:00:\\d\\d until 20 Jan 12:00: copper")
        .contains("rosa held tank until 2026-01-20: copper");
    JsonNode held = lagoon(water.records()).path("held");
    assertThat(held).hasSize(2);
    assertThat(held.at("/0/released-by").textValue()).isEqualTo("rosa");
    assertThat(held.at("/1/until").textValue()).isEqualTo("2026-01-20T12:00:00.000Z");
  }

  @Test
  void aHoldThatEndsByItselfIsToldSo() {
    RecordedWater water =
        RecordedWater.evening(8).asks("hold", "name", "exchange", "for", "5 min").live(310);
    assertThat(text(water))
        .containsPattern("exchange by rosa since 12:59:50 until 13:04:50; over at 13:04:5");
  }

  @Test
  void theEndOfAHoldIsNotThatOfALongerOne() {
    List<AuditRecord> records =
        new ArrayList<>(
            RecordedWater.evening(8).asks("hold", "name", "ozone", "for", "5 min").records());
    AuditRecord first = records.get(records.size() - 1);
    Map<String, Object> longer = new LinkedHashMap<>(first.fields());
    longer.put("end", "2026-01-14T15:00:00.000Z");
    records.add(later(first, Kind.ACT, longer));
    records.add(later(first, Kind.HOLD_OVER, first.fields()));
    assertThat(review(records).text().replaceAll("\\s+", " "))
        .containsPattern("ozone by rosa since 12:59:50 until 13:04:50; over at 13:00:50")
        .contains("ozone by rosa since 13:00:50 until 15:00 ")
        .doesNotContain("until 15:00; over");
  }

  @Test
  void holdsThatStandBesideEachOtherAreAllTold() {
    RecordedWater water =
        RecordedWater.evening(8)
            .asks("hold", "until", "2026-01-20", "text", "copper")
            .asks("hold", "for", "5 min", "text", "feeding")
            .live(310);
    assertThat(text(water))
        .containsPattern("tank by rosa since 12:59:\\d\\d until 20 Jan 12:00: copper")
        .containsPattern(
            "tank by rosa since 12:59:\\d\\d until 13:04:\\d\\d: feeding; over at 13:04")
        .contains("(also held: tank until 2026-01-20 12:00 +00:00 by rosa: copper)");
  }

  private static AuditRecord later(AuditRecord record, Kind kind, Map<String, Object> fields) {
    return new AuditRecord(
        record.at().plusSeconds(60),
        true,
        record.monoMillis() + 60_000,
        record.tank(),
        kind,
        record.why(),
        fields);
  }

  /** Hazard F70. */
  @Test
  void aBinThatWasFilledWithoutAWordNeedsAHand() {
    RecordedWater water = RecordedWater.unconfirmed(9).bin(22).live(5).confirms();
    water.untilDone(1).bin(118).live(120);
    assertThat(text(water))
        .contains("It needs a hand: the new water of lagoon is not confirmed")
        .containsPattern(
            "New water of lagoon, at 13:\\d\\d:\\d\\d: the bin holds 118 L where 21\\.\\d+ L");
    assertThat(lagoon(water.records()).at("/water/new-water/filled").isTextual()).isTrue();
  }

  @Test
  void aDaemonThatDiesInAPortionIsToldWithIt() {
    RecordedWater water = RecordedWater.evening(10).untilPhase("DRAINING").live(30).crash();
    water.untilDone(1).live(5);
    assertThat(text(water))
        .contains("so far not as planned: the daemon died while a portion was under way");
  }

  /** Of what stands before the records read the opening checkpoint tells. */
  @Test
  void whatWasBeforeTheRecordsReadIsRemembered() {
    RecordedWater water =
        RecordedWater.evening(11)
            .asks("hold", "name", "ozone", "until", "2026-01-20", "text", "copper")
            .untilPhase("FILLING");
    List<AuditRecord> records = new ArrayList<>(List.of(water.checkpoint()));
    int from = water.records().size();
    water.asks("note", "text", "looked in");
    records.addAll(water.records().subList(from, water.records().size()));
    assertThat(review(records).text().replaceAll("\\s+", " "))
        .contains("begun before no. 1: of 0.486 L; under way, ")
        .contains("ozone by rosa since before the first record read until 20 Jan 12:00: copper")
        .contains("confirmed by rosa at 12:59:50; 0 L drawn since");
    assertThat(lagoon(records).at("/water/portions/0/began").isNull()).isTrue();
  }

  @Test
  void aTankWithAnExchangeOfWhichNothingIsRecordedIsToldAsNotKnown() {
    assertThat(review(List.of()).text())
        .contains("Nothing is recorded of this tank, so how it went is not known.")
        .contains("Water: nothing is recorded of its exchange.");
  }

  @Test
  void anExchangeAloneIsReviewedToo() {
    List<AuditRecord> records =
        RecordedWater.evening(12).jumpsTo("2026-01-14T22:30:00Z").live(5).records().stream()
            .filter(record -> record.kind() != Kind.WINDOW_OPENED && record.kind() != Kind.MISSED)
            .toList();
    List<AuditRecord> later = new ArrayList<>(records);
    later.add(nextDay(records.get(records.size() - 1)));
    assertThat(Review.last(Past.of(later), SITE).text()).contains("Night of 14 January 2026");
  }

  @Test
  void recordsThatLackSomethingAreToldWithLessAndNeverFail() throws IOException {
    Schema schema = ReviewSchema.read();
    List<AuditRecord> whole =
        RecordedWater.evening(13)
            .asks("hold", "name", "ozone", "for", "1 h")
            .untilDone(1)
            .bin(60)
            .live(5)
            .confirms()
            .jumpsTo("2026-01-14T22:30:00Z")
            .live(5)
            .records();
    for (int seed = 0; seed < 200; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      List<AuditRecord> mangled = new ArrayList<>();
      for (AuditRecord record : whole) {
        if (random.nextInt(10) > 0) {
          mangled.add(random.nextInt(3) > 0 ? record : mangled(record, random));
        }
      }
      Review review = review(mangled);
      ReviewSchema.assertDescribes(schema, review.json());
      assertThat(review.text().lines()).allMatch(line -> line.length() <= Page.WIDTH);
    }
  }

  private static AuditRecord mangled(AuditRecord record, SplittableRandom random) {
    Map<String, Object> fields = new LinkedHashMap<>();
    record
        .fields()
        .forEach(
            (name, value) -> {
              if (random.nextInt(3) > 0) {
                fields.put(name, random.nextInt(4) > 0 ? value : List.of("odd", "#"));
              }
            });
    return new AuditRecord(
        record.at(),
        random.nextInt(5) > 0,
        record.monoMillis(),
        record.tank(),
        record.kind(),
        random.nextInt(5) > 0 ? record.why() : "",
        fields);
  }
}
