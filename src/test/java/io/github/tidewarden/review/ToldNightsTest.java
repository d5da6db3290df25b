package io.github.tidewarden.review;

import static io.github.tidewarden.review.ReviewTest.NIGHT;
import static io.github.tidewarden.review.ReviewTest.SITE;
import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.RecordedNights;
import io.github.tidewarden.science.RoomLeak;
import java.io.IOException;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

/** What is told of nights that did not go as planned, each recorded by the real core. */
class ToldNightsTest {

  private static String text(RecordedNights night) {
    return oneLine(ReviewTest.review(night).text());
  }

  /** Without line breaks and indents, so that a sentence can be looked for. */
  private static String oneLine(String text) {
    return text.replaceAll("\\s+", " ");
  }

  private static JsonNode lagoon(RecordedNights night) {
    return night(ReviewTest.review(night)).at("/tanks/0");
  }

  private static JsonNode night(Review review) {
    return json(review).at("/nights/0");
  }

  private static JsonNode json(Review review) {
    try {
      return new ObjectMapper().readTree(review.json());
    } catch (JsonProcessingException e) {
      throw new AssertionError(e);
    }
  }

  @Test
  void aCalibrationIsToldAndRedoxWithWhatItMakesOfIt() {
    RecordedNights night =
        RecordedNights.calibrated()
            .steady(3_610, 310, 310)
            .ramp(600, 310, 346)
            .steady(30, 346, 346);
    assertThat(text(night))
        .contains(
            "Probes redox-a calibrated 2026-01-14 22:3",
            "+00:00 in zobell, against Ag/AgCl 3 M KCl: offset 20.0 mV; 0 days old")
        .contains("rosa calibrated redox-a in zobell at 25.0 °C: it reads 201.0 mV where 221.0 mV")
        .contains("redox-a corrected 365.");
    JsonNode tank = lagoon(night);
    assertThat(tank.at("/probes/0/offset-mv").decimalValue()).isEqualByComparingTo("20.0");
    assertThat(tank.at("/probes/0/slope").decimalValue()).isEqualByComparingTo("1");
    BigDecimal peak = tank.at("/runs/0/redox/peak-mv").decimalValue();
    assertThat(tank.at("/runs/0/redox/corrected-peak-mv").decimalValue())
        .isBetween(new BigDecimal("365"), peak.add(new BigDecimal("20")));
    assertThat(text(night)).containsPattern("34\\d\\.\\d at most, 365\\.\\d corrected, ");
  }

  @Test
  void aCrashInMidRunCountsTheWholeReservationAndClaimsNoMore() {
    RecordedNights night =
        RecordedNights.evening()
            .steady(60, 330, 333)
            .crash(Duration.ofMinutes(5))
            .steady(5040, 345, 348);
    assertThat(text(night))
        .contains("It did not go as planned: the daemon died in the middle of a run;")
        .contains(
            "01:30:00 Began; the daemon died before its end was recorded. It ran at most 5 min,"
                + " and the whole reservation counts, 4.17 mg. Redox 323.0 at first.")
        .contains(
            "01:30:00 to 01:36:01 the daemon died some time after its last record, and was started")
        .contains("Redox 323.0 at first, 348.0 at most, 348.0 at last, as far as recorded;")
        .contains("the daemon started anew at 01:36:01.")
        .doesNotContain("so was the machine");
    JsonNode run = lagoon(night).at("/runs/0");
    assertThat(run.path("account").textValue()).isEqualTo("cut-off");
    assertThat(run.path("counted-ms").longValue()).isEqualTo(300_000);
    assertThat(run.path("ran-ms").isNull()).isTrue();
    // 5 min at the rated 50 mg/h are 4.1667 mg, rounded up
    assertThat(run.path("counted-mg").decimalValue()).isEqualByComparingTo("4.17");
    assertThat(run.at("/redox/start-mv").decimalValue()).isEqualByComparingTo("323.0");
    assertThat(run.at("/redox/peak-mv").isNull()).isTrue();
    assertThat(run.at("/redox/end-mv").isNull()).isTrue();
  }

  @Test
  void aWindowWithoutAnEndTellsTheRedoxOfItsRuns() {
    RecordedNights night =
        RecordedNights.evening()
            .ramp(60, 330, 340)
            .crash(Duration.ofMinutes(5))
            .steady(700, 325, 328)
            .ramp(300, 328, 364)
            .stop(Duration.ofMinutes(2));
    List<AuditRecord> untilTheStop =
        night.records().subList(0, indexOf(night.records(), Kind.STOP) + 1);
    Review review = Review.ofNight(Past.of(untilTheStop), SITE, NIGHT);
    JsonNode window = night(review).at("/tanks/0/windows/0");
    assertThat(window.path("outcome").textValue()).isEqualTo("open");
    assertThat(window.path("runs").longValue()).isEqualTo(2);
    assertThat(window.at("/redox/start-mv").decimalValue()).isEqualByComparingTo("323.0");
    assertThat(window.at("/redox/peak-mv"))
        .isEqualTo(night(review).at("/tanks/0/runs/1/redox/peak-mv"));
    assertThat(window.at("/redox/end-mv"))
        .isEqualTo(night(review).at("/tanks/0/runs/1/redox/end-mv"));
    assertThat(window.at("/redox/end-mv").isNumber()).isTrue();
  }

  private static int indexOf(List<AuditRecord> records, Kind kind) {
    for (int i = 0; i < records.size(); i++) {
      if (records.get(i).kind() == kind) {
        return i;
      }
    }
    throw new AssertionError(kind);
  }

  @Test
  void milligramsAreNeverToldAsLessThanWereGiven() {
    for (JsonNode run : lagoon(RecordedNights.good()).path("runs")) {
      // rated output of the bench's generator: 50 mg/h
      BigDecimal given =
          BigDecimal.valueOf(run.path("counted-ms").longValue() * 50)
              .divide(BigDecimal.valueOf(3_600_000), 6, RoundingMode.FLOOR);
      assertThat(run.path("counted-mg").decimalValue())
          .isBetween(given, given.add(new BigDecimal("0.01")));
    }
  }

  @Test
  void whatARunOfUnknownLengthGaveIsTakenFromTheWindowsEndWhereItTellsOfTheSameTime() {
    RecordedNights night =
        RecordedNights.evening()
            .steady(60, 330, 333)
            .crash(Duration.ofMinutes(5))
            .steady(5040, 345, 348);
    List<AuditRecord> older = night.records().stream().map(r -> without(r, "reserve-mg")).toList();
    JsonNode lagoon = night(Review.ofNight(Past.of(older), SITE, NIGHT)).at("/tanks/0");
    assertThat(lagoon.at("/runs/0/counted-mg").isNull()).isTrue();
    // 5 min at the rated 50 mg/h
    assertThat(lagoon.at("/ozone/counted-mg").decimalValue()).isEqualByComparingTo("4.17");
  }

  private static AuditRecord without(AuditRecord record, String field) {
    Map<String, Object> fields = new LinkedHashMap<>(record.fields());
    fields.remove(field);
    return new AuditRecord(
        record.at(),
        record.trusted(),
        record.monoMillis(),
        record.tank(),
        record.kind(),
        record.why(),
        fields);
  }

  @Test
  void pickUpIsALatchThatIsToldAmongTheNotices() {
    RecordedNights night =
        RecordedNights.evening().steady(1, 260, 263).steady(1, 320, 323).steady(5397, 320, 323);
    assertThat(text(night))
        .contains("It needs a hand: pick-up is latched until it is reset.")
        .contains(
            "pick-up since 01:30:02: redox-a 320.0 mV to 260.0 mV and back to 320.0 mV, redox-b")
        .contains("Ended: pick-up: redox-a 320.0 mV to 260.0 mV, redox-b 323.0 mV to 263.0 mV");
    assertThat(lagoon(night).at("/notices/0/name").textValue()).isEqualTo("pick-up");
    assertThat(lagoon(night).at("/devices")).isEmpty();
  }

  @Test
  void aRunThatIsNotOverIsToldAsAtMost() {
    RecordedNights night = RecordedNights.evening().steady(60, 330, 333);
    assertThat(text(night))
        .contains("It is not over in the records; so far it went well, and nothing needs a hand.")
        .contains("01:30 to 03:00 opened; no end of it is recorded. 1 run.")
        .contains("01:30:00 Began; no end is recorded. It runs at most 5 min")
        .contains("What happened after it is not known.");
    assertThat(lagoon(night).at("/outcome").textValue()).isEqualTo("open");
    assertThat(lagoon(night).at("/runs/0/account").textValue()).isEqualTo("reserved");
  }

  @Test
  void aRunWhoseAccountIsOpenIsToldAsAtMost() {
    RecordedNights night = RecordedNights.evening().steady(60, 330, 333).muteDevice(2, 370);
    assertThat(text(night))
        .contains("Ran 1 min 1 s; at most 1 min 41 s ran, which count in full, 1.39 mg.");
    assertThat(lagoon(night).at("/runs/0/account").textValue()).isEqualTo("ended");
  }

  @Test
  void aDeviceThatSaysNothingIsCountedByItsBound() {
    RecordedNights night =
        new RecordedNights()
            .until("2026-01-15T01:28:00Z")
            .muteDevice(181, 330)
            .muteDevice(5341, 370);
    assertThat(text(night))
        .contains("generator did not confirm that it ran")
        .contains("Ran 5 s, counted 40 s (its last lease has run out)");
  }

  @Test
  void airLostLeadsItsConsequences() {
    RecordedNights night = RecordedNights.latched();
    JsonNode first = lagoon(night).at("/trips/0");
    assertThat(first.path("name").textValue()).isEqualTo("air-lost");
    assertThat(first.path("ended-run").longValue()).isEqualTo(1);
    assertThat(first.at("/consequences/0/name").textValue()).isEqualTo("room-ozone");
    assertThat(first.at("/consequences/0/first-out").textValue()).isEqualTo("air-lost");
    assertThat(first.at("/consequences/0/ended-run").isNull()).isTrue();
    assertThat(lagoon(night).at("/latched")).hasSize(1);
    assertThat(lagoon(night).at("/latched/0/since").textValue())
        .isEqualTo("2026-01-15T01:57:58.000Z");
  }

  @Test
  void aWindowInWhichSomethingForbadeOzoneIsMissedWithItsReason() {
    RecordedNights night =
        new RecordedNights().until("2026-01-15T01:28:00Z").odd(5521, 330, 5, true);
    assertThat(text(night))
        .contains("It did not go as planned: a window was missed; nothing needs a hand now.")
        .contains("01:30 to 03:00 missed: nothing was given: redox-b is not heard yet. No run.")
        .contains("Ozone counted: 0 s of 60 min allowed.");
    assertThat(lagoon(night).at("/windows/0/outcome").textValue()).isEqualTo("missed");
  }

  @Test
  void aWindowInWhichTheDaemonDidNotRunIsToldThoughItIsRecordedDaysLater() {
    RecordedNights night = new RecordedNights().crash(Duration.ofDays(3));
    assertThat(text(night))
        .contains("It did not go as planned: the daemon did not run in a window;")
        .contains("01:30 to 03:00 missed: nothing was given: the daemon did not run. The site");
    assertThat(lagoon(night).at("/windows/0/outcome").textValue()).isEqualTo("not-attended");
    assertThat(lagoon(night).at("/windows/0/opened").isNull()).isTrue();
  }

  @Test
  void aWindowThatPassedWithAnUntrustedClockSaysSo() {
    RecordedNights night =
        new RecordedNights()
            .until("2026-01-15T01:10:00Z")
            .clockSteps(Duration.ofHours(-5))
            .until("2026-01-14T22:10:00Z")
            .clockTrusted(Duration.ofHours(5))
            .steady(5, 345, 348);
    assertThat(text(night))
        .contains("It did not go as planned: its clock was not trusted in a window;")
        .contains("01:30 to 03:00 missed: nothing was given: its clock was not trusted.");
  }

  @Test
  void aWindowThatPassedWhileTheDaemonWasAwayAndThenUnsureSaysBoth() {
    RecordedNights night =
        new RecordedNights().until("2026-01-15T01:10:00Z").powerCut(Duration.ofMinutes(60), 5400);
    assertThat(text(night.steady(5, 345, 348)))
        .contains("nothing was given: the daemon did not run, then its clock was not trusted.");
  }

  @Test
  void aWindowThatPassedWhileTheTankHadFailedSaysSo() {
    RecordedNights night = new RecordedNights().crash(Duration.ofDays(1));
    List<AuditRecord> records = new ArrayList<>();
    for (AuditRecord record : night.records()) {
      boolean second = record.kind() == Kind.START && !records.isEmpty();
      if (second) {
        records.add(ofLagoon(records.get(0), "2026-01-15T01:00:00Z", Kind.FAULT, Map.of()));
        Map<String, Object> reset = Map.of("act", "reset", "name", "internal-fault");
        records.add(ofLagoon(records.get(0), "2026-01-15T04:00:00Z", Kind.ACT, reset));
      }
      records.add(record);
    }
    assertThat(oneLine(Review.ofNight(Past.of(records), SITE, NIGHT).text()))
        .contains("01:30 to 03:00 missed: nothing was given: the tank had failed.");
  }

  private static AuditRecord ofLagoon(
      AuditRecord like, String at, Kind kind, Map<String, Object> fields) {
    return new AuditRecord(
        Instant.parse(at), true, like.monoMillis(), "lagoon", kind, "as told", fields);
  }

  @Test
  void aDiskThatIsFullIsToldOnce() {
    RecordedNights night =
        new RecordedNights().disk(false).until("2026-01-15T01:28:00Z").steady(5521, 330, 333);
    assertThat(text(night))
        .contains("not go as planned: no run can be recorded, so none starts: no space left;")
        .contains("01:30:00 to 02:59:00 no run can be recorded")
        .contains("told 90 times")
        .contains("01:30 to 03:00 opened and closed: the window is over. No run.");
    assertThat(lagoon(night).at("/notices")).hasSize(90);
  }

  @Test
  void aDiskThatFillsUpEndsARunWithItsReservation() {
    RecordedNights night =
        RecordedNights.evening().steady(10, 330, 333).disk(false).steady(5391, 330, 333);
    assertThat(lagoon(night).at("/runs/0/counted-ms").longValue()).isBetween(269_000L, 300_000L);
    assertThat(text(night)).contains("Ended: no more time could be reserved for it.");
  }

  @Test
  void aProbeThatFallsSilentIsALossAndAGap() {
    RecordedNights night =
        RecordedNights.evening()
            .steady(200, 330, 333)
            .odd(200, 330, 5, true)
            .steady(5001, 345, 348);
    assertThat(text(night))
        .contains("It did not go as planned: redox-b was lost while in use;")
        .contains("Lost while in use 01:34:20 redox-b is silent for 60 s; over at 01:36:41")
        .contains("No good data 01:34:20 to 01:36:41 redox-b: silent for 60 s");
    assertThat(lagoon(night).at("/lost/0/until")).isEqualTo(lagoon(night).at("/gaps/0/until"));
    assertThat(lagoon(night).at("/lost/0/until").textValue()).isEqualTo("2026-01-15T01:36:41.000Z");
  }

  @Test
  void aBrokerThatIsLostIsToldWithItsTimes() {
    RecordedNights night =
        RecordedNights.evening()
            .steady(100, 330, 333)
            .brokerLost(Duration.ofSeconds(40))
            .steady(5261, 345, 348);
    assertThat(text(night))
        .contains("the broker was lost while a window was open")
        .contains("01:31:41 to 01:32:21 the broker is lost: no answer to a ping")
        .contains("counted 2 min 21 s (its last lease has run out)")
        .contains("01:32:21 to 01:32:31 redox-a, redox-b and room-ozone: not heard since");
  }

  @Test
  void aClockThatJumpsIsToldInTheTimeThatWasTrustedBefore() {
    RecordedNights night =
        RecordedNights.evening()
            .steady(100, 330, 333)
            .clockSteps(Duration.ofHours(-5))
            .steady(100, 330, 333)
            .clockTrusted(Duration.ofHours(5))
            .steady(5201, 345, 348);
    assertThat(text(night))
        .contains("trust in the clock changed while a window was open")
        .contains("01:31:41 the wall clock jumped by -18000 s")
        .contains("01:33:21 the wall clock is trusted")
        .contains("Ended: the wall clock is not trusted.");
    assertThat(lagoon(night).at("/runs/0/ended").textValue()).isEqualTo("2026-01-15T01:31:41.000Z");
  }

  @Test
  void aStartIn1970IsDatedByTheTrustThatFollowed() {
    RecordedNights night =
        RecordedNights.evening()
            .steady(100, 330, 333)
            .powerCut(Duration.ofMinutes(10), 90)
            .steady(4711, 345, 348);
    assertThat(text(night))
        .contains(
            "the daemon died some time after its last record, and was started again; so was the machine")
        .contains("01:30:00 to 01:41:41")
        .contains("01:43:14 the wall clock is trusted")
        .doesNotContain("1970");
  }

  @Test
  void whatIsNeverDatedIsToldWithoutATime() {
    RecordedNights night =
        RecordedNights.evening().steady(100, 330, 333).powerCut(Duration.ofMinutes(10), 90);
    List<AuditRecord> records = night.records();
    Review review = Review.ofNight(Past.of(records.subList(0, records.size() - 1)), SITE, NIGHT);
    assertThat(oneLine(review.text())).contains("01:30:00 to an unknown time the daemon died");
    assertThat(review.json()).doesNotContain("1970");
  }

  @Test
  void aStopInGoodOrderIsNotACrash() {
    RecordedNights night =
        RecordedNights.evening()
            .steady(100, 330, 333)
            .stop(Duration.ofMinutes(2))
            .steady(5178, 345, 348);
    assertThat(text(night))
        .contains("the daemon was stopped while a window was open")
        .contains("01:31:41 to 01:33:41 the daemon was stopped: asked to by the system; then")
        .doesNotContain("after its last record")
        .doesNotContain("died");
  }

  @Test
  void aKeepersActsAndRefusedRequestsAreTold() {
    RecordedNights night =
        RecordedNights.evening()
            .asks("note", "", "cleaned the skimmer", "Ana")
            .asks("reset", "leak", "", "Rui");
    assertThat(text(night))
        .contains("Keeper 01:30:01 Ana noted: cleaned the skimmer")
        .contains("a request by Rui was refused: nothing named \"leak\" is latched");
  }

  @Test
  void aBrokerThatIsNeverReachedAfterAStartIsTold() {
    List<AuditRecord> records =
        RecordedNights.good().records().stream().filter(r -> r.kind() != Kind.LINK).toList();
    assertThat(oneLine(Review.ofNight(Past.of(records), SITE, NIGHT).text()))
        .contains("since 00:30:00 the broker was not reached");
  }

  @Test
  void redoxThatIsHighAllNightIsAGoodNightWithoutOzone() {
    RecordedNights night =
        new RecordedNights().until("2026-01-15T01:28:00Z").steady(5521, 350, 352);
    assertThat(text(night))
        .contains("It went well; no ozone was given, none was refused, and nothing needs a hand.")
        .contains("Redox 352.0 at first, 352.0 at most, 352.0 at last.");
  }

  @Test
  void aNightWithoutRecordsClaimsNothing() {
    Review review = Review.ofNight(Past.of(List.of()), SITE, NIGHT);
    assertThat(review.text())
        .contains("Nothing is recorded of this tank, so how it went is not known.")
        .contains("No record is of this night.");
    assertThat(night(review).at("/tanks/0/outcome").textValue()).isEqualTo("unknown");
  }

  @Test
  void theNightInWhichTheClocksGoBackMarksTimesThatComeTwice() {
    // tzdata: Europe/Lisbon went from +01:00 to +00:00 on 2025-10-26 at 01:00 UTC.
    RecordedNights night =
        new RecordedNights(Instant.parse("2025-10-26T00:30:00Z"))
            .until("2025-10-26T00:28:00Z")
            .steady(121, 320, 323)
            .ramp(3000, 320, 364)
            .steady(2402, 350, 353);
    Review review = Review.ofNight(Past.of(night.records()), SITE, LocalDate.of(2025, 10, 25));
    assertThat(oneLine(review.text()))
        .contains(
            "Times are local (Europe/Lisbon): +01:00 until the clocks changed from 02:00 to 01:00"
                + " on 26 October 2025, +00:00 from then on; a time that came twice carries its"
                + " offset.")
        .contains("01:30 +01:00 to 02:00 opened and closed: the window is over. 1 run.")
        .contains("01:30:00 +01:00 to 01:17:45 +00:00 Ran 47 min 45 s");
    assertThat(night(review).at("/from").textValue()).isEqualTo("2025-10-25T11:00:00.000Z");
    assertThat(night(review).at("/to").textValue()).isEqualTo("2025-10-26T12:00:00.000Z");
  }

  @Test
  void sinceTheLastReviewIsToldByNightAndQuietEndsOfNightsAreLeftOut() {
    RecordedNights nights =
        RecordedNights.good()
            .until("2026-01-15T22:00:00Z")
            .steady(30, 350, 352)
            .asks("note", "", "fed the fish", "Ana");
    Instant sevenOClock = Instant.parse("2026-01-14T07:00:00Z");
    Review review = Review.since(Past.of(nights.records()), SITE, sevenOClock);
    assertThat(json(review).at("/nights")).hasSize(2);
    assertThat(json(review).at("/nights/0/night").textValue()).isEqualTo("2026-01-14");
    assertThat(review.text()).contains("Night of 14 January 2026\n", "Night of 15 January 2026\n");
    assertThat(review.text().split("Redox \\(ORP\\)", -1)).hasSize(2);
    Review later =
        Review.since(Past.of(nights.records()), SITE, Instant.parse("2026-01-15T21:00:00Z"));
    assertThat(json(later).at("/nights")).hasSize(1);
    assertThat(later.text())
        .contains("Night of 15 January 2026, since 21:00")
        .contains("Ana noted: fed the fish");
  }

  @Test
  void theLastNightIsTheOneWithAWindowAndWhatCameAfter() {
    RecordedNights night = RecordedNights.good();
    assertThat(json(Review.last(Past.of(night.records()), SITE)).at("/nights")).hasSize(1);
    night.until("2026-01-15T13:00:00Z").steady(30, 350, 352);
    Review review = Review.last(Past.of(night.records()), SITE);
    assertThat(json(review).at("/nights/0/night").textValue()).isEqualTo("2026-01-14");
    assertThat(json(review).at("/nights/1/night").textValue()).isEqualTo("2026-01-15");
  }

  @Test
  void aLatchOfAnEarlierNightStillNeedsAHandAndALaterResetIsTold() {
    RecordedNights nights = RecordedNights.latched().until("2026-01-15T20:00:00Z");
    Review next = Review.ofNight(Past.of(nights.records()), SITE, LocalDate.of(2026, 1, 15));
    assertThat(oneLine(next.text()))
        .contains("It needs a hand: redox-ceiling is latched")
        .contains("since 15 Jan 01:57:58");
    nights.steady(30, 330, 333).asks("reset", "redox-ceiling", "probe cleaned", "Ana");
    assertThat(text(nights))
        .contains("reset later, 15 Jan 20:00:30, by Ana")
        .doesNotContain("It needs a hand")
        .doesNotContain("java -jar");
  }

  @Test
  void eachTankNamesItsElectrodeWhereTheyDiffer() {
    ReviewedSite two =
        new ReviewedSite(
            "harbour-lab",
            SITE.zone(),
            "x.yaml",
            List.of(),
            List.of(
                SITE.tanks().get(0),
                new ReviewedSite.ReviewedTank("reef", 200.0, "Hg/Hg2Cl2 saturated KCl", null),
                new ReviewedSite.ReviewedTank("nursery", 60.0, null, null)));
    String text = Review.ofNight(Past.of(RecordedNights.good().records()), two, NIGHT).text();
    assertThat(text)
        .contains("Redox (ORP) is in mV.\n")
        .contains("  Its redox is against Ag/AgCl 3 M KCl.\n")
        .contains("\nreef\n  Nothing is recorded of this tank, so how it went is not known.\n")
        .contains("\nnursery\n  No window is recorded, and nothing needs a hand.\n");
  }

  /** The worked room: 30 m3, 0.35 air changes an hour, 50 mg/h settle at 2.42722 ppm. */
  @Test
  void whatIsGivenForEachLitreAndHowSoonTheRoomWouldFillIsToldOnce() throws IOException {
    ReviewedSite aired =
        ReviewedSite.of(
            RecordedNights.site(), Map.of("gallery", new RoomLeak(30, 0.35)), "harbour-lab.yaml");
    Review review =
        Review.since(
            Past.of(RecordedNights.good().records()), aired, Instant.parse("2026-01-13T12:00:00Z"));
    String once =
        "Should all of the 50 mg/h that is made in gallery leak: 50 ppb (21 CFR 801.415)"
            + " after 3.5 min; 100 ppb (OSHA PEL, NIOSH ceiling) after 7.2 min;";
    String text = oneLine(review.text());
    assertThat(text)
        .contains(once)
        .contains("28.08 mg by the generator's rated output, 0.0826 mg/L and day.");
    assertThat(text.indexOf(once)).isEqualTo(text.lastIndexOf(once));
    JsonNode json = json(review);
    assertThat(json.at("/rooms/0/leak/0/after-min").doubleValue()).isEqualTo(3.5);
    assertThat(json.at("/rooms/0/leak/1/after-min").doubleValue()).isEqualTo(7.2);
    assertThat(json.at("/nights/0/tanks/0/ozone/counted-mg-per-l").doubleValue())
        .as("28.08 mg in 340 L, rounded up")
        .isEqualTo(0.0826);
    ReviewSchema.assertDescribes(ReviewSchema.read(), review.json());
  }

  @Test
  void tanksThatTheConfigurationNoLongerHasAreStillTold() {
    ReviewedSite bare =
        new ReviewedSite("harbour-lab", SITE.zone(), "x.yaml", List.of(), List.of());
    String text = Review.ofNight(Past.of(RecordedNights.good().records()), bare, NIGHT).text();
    assertThat(text)
        .contains("lagoon")
        .contains("Against which electrode its redox was measured is not known.");
  }
}
