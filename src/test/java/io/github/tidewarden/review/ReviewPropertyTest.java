package io.github.tidewarden.review;

import static io.github.tidewarden.review.ReviewTest.NIGHT;
import static io.github.tidewarden.review.ReviewTest.SITE;
import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.networknt.schema.Schema;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.RecordedNights;
import java.io.IOException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Random nights of the real core, and records that were mangled. */
class ReviewPropertyTest {
  private static final int NIGHTS = 40;

  private static RecordedNights randomNight(SplittableRandom random) {
    RecordedNights night = RecordedNights.evening();
    for (int scene = 0; scene < 12; scene++) {
      double redox = 310 + random.nextInt(60);
      int seconds = 1 + random.nextInt(400);
      switch (random.nextInt(12)) {
        case 0 -> night.crash(Duration.ofSeconds(1 + random.nextInt(900)));
        case 1 -> night.stop(Duration.ofSeconds(1 + random.nextInt(900)));
        case 2 -> night.brokerLost(Duration.ofSeconds(1 + random.nextInt(120)));
        case 3 -> night.odd(seconds, redox, 1 + random.nextInt(5), random.nextBoolean());
        case 4 -> night.foul(seconds, redox, 5, random.nextInt(200));
        case 5 -> night.steady(1 + random.nextInt(60), 390 + random.nextInt(50), 400);
        case 6 -> night.stalls(Duration.ofSeconds(1 + random.nextInt(60)));
        case 7 -> night.disk(random.nextBoolean());
        case 8 -> night.asks("reset", "redox-ceiling", "seen to", "Ana");
        case 9 -> night.asks("note", "", "looked in", "Rui");
        default -> night.ramp(seconds, redox, redox + random.nextInt(40));
      }
    }
    return night;
  }

  @Test
  void countsAndLatchesAreWhatTheCoreItselfHoldsTrue() throws IOException {
    Schema schema = ReviewSchema.read();
    int given = 0;
    int latched = 0;
    for (int seed = 0; seed < NIGHTS; seed++) {
      RecordedNights night = randomNight(new SplittableRandom(seed));
      Review review = ReviewTest.review(night);
      ReviewSchema.assertDescribes(schema, review.json());
      assertThat(review.text().lines()).as("seed " + seed).allMatch(l -> l.length() <= Page.WIDTH);
      JsonNode tank = new ObjectMapper().readTree(review.json()).at("/nights/0/tanks/0");
      long counted = night.memory().tank("lagoon").spentInNightMillis(NIGHT);
      assertThat(tank.at("/ozone/counted-ms").longValue()).as("seed " + seed).isEqualTo(counted);
      assertThat(tank.at("/ozone/earlier-ms").longValue()).as("seed " + seed).isZero();
      long told = 0;
      for (JsonNode run : tank.path("runs")) {
        told += run.path("counted-ms").longValue();
      }
      assertThat(told).as("seed " + seed).isEqualTo(counted);
      List<String> names = new ArrayList<>();
      tank.path("latched").forEach(latch -> names.add(latch.path("name").textValue()));
      assertThat(names)
          .as("seed " + seed)
          .containsExactlyElementsOf(night.memory().tank("lagoon").latches().keySet());
      assertThat(tank.path("outcome").textValue().equals("hand"))
          .as("seed " + seed)
          .isEqualTo(!names.isEmpty());
      if (!tank.at("/ozone/allowance-ms").isNull()) {
        assertThat(tank.at("/ozone/allowance-ms").longValue())
            .as("seed " + seed)
            .isEqualTo(3_600_000);
        given++;
      }
      latched += names.isEmpty() ? 0 : 1;
    }
    assertThat(given).isGreaterThan(NIGHTS / 2);
    assertThat(latched).isBetween(1, NIGHTS - 1);
  }

  @Test
  void theSameRecordsAlwaysReadTheSame() {
    List<AuditRecord> records = randomNight(new SplittableRandom(7)).records();
    Review one = Review.ofNight(Past.of(records), SITE, NIGHT);
    Review other = Review.ofNight(Past.of(List.copyOf(records)), SITE, NIGHT);
    assertThat(one.text()).isEqualTo(other.text());
    assertThat(one.json()).isEqualTo(other.json());
  }

  @Test
  void recordsThatLackSomethingAreToldWithLessAndNeverFail() throws IOException {
    Schema schema = ReviewSchema.read();
    List<AuditRecord> whole = randomNight(new SplittableRandom(3)).records();
    for (int seed = 0; seed < 300; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      List<AuditRecord> mangled = new ArrayList<>();
      for (AuditRecord record : whole) {
        if (random.nextInt(10) > 0) {
          mangled.add(random.nextInt(3) > 0 ? record : mangled(record, random));
        }
      }
      Review review = Review.ofNight(Past.of(mangled), SITE, NIGHT);
      ReviewSchema.assertDescribes(schema, review.json());
      assertThat(review.text()).as("seed " + seed).startsWith("Review of harbour-lab\n");
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

  @Test
  void whatAPersonWroteCannotPlayTricksOnATerminal() {
    RecordedNights night =
        RecordedNights.evening().asks("note", "", "a\\u001b[31mb\\u202ec\\nd", "A\\u0007na");
    String text = ReviewTest.review(night).text();
    assertThat(text).contains("A\uFFFDna noted: a\uFFFD[31mb\uFFFDc\uFFFDd");
    assertThat(text.codePoints().filter(c -> c < ' ' && c != '\n')).isEmpty();
  }
}
