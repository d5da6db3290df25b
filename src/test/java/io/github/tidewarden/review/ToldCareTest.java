package io.github.tidewarden.review;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.control.RecordedNights;
import java.io.IOException;
import org.junit.jupiter.api.Test;

/** What a review tells of carbon and of residual oxidant, recorded by the real core. */
class ToldCareTest {

  /** Both carbons are changed an hour before the window; then a dose of some ten minutes. */
  static RecordedNights night() {
    return RecordedNights.withCarbon()
        .changes("off-gas", "Ana")
        .changes("effluent", "Ines")
        .steady(3_600, 320, 320)
        .ramp(600, 320, 364)
        .steady(60, 366, 366);
  }

  private static JsonNode lagoon(RecordedNights night) throws IOException {
    return new ObjectMapper().readTree(ReviewTest.review(night).json()).at("/nights/0/tanks/0");
  }

  private static String text(RecordedNights night) {
    return ReviewTest.review(night).text().replaceAll("\\s+", " ");
  }

  @Test
  void theHoursOfCarbonAreTold() throws IOException {
    RecordedNights night = night();
    JsonNode lagoon = lagoon(night);
    long counted = lagoon.at("/ozone/counted-ms").longValue();
    assertThat(counted).isGreaterThan(500_000);
    assertThat(lagoon.at("/carbon")).hasSize(2);
    assertThat(lagoon.at("/carbon/0/carbon").asText()).isEqualTo("off-gas");
    assertThat(lagoon.at("/carbon/0/by").asText()).isEqualTo("Ana");
    assertThat(lagoon.at("/carbon/1/ozone-ms").longValue())
        .as("as accounts count it")
        .isEqualTo(counted);
    assertThat(lagoon.at("/residual-oxidant").isNull()).isTrue();
    assertThat(text(night))
        .contains("Care carbon-off-gas ozone ran for 0.1")
        .contains(" h since it was changed by Ana, 2026-01-15 00:30 +00:00")
        .contains("so far it went well, and nothing needs a hand.");
    ReviewSchema.assertDescribes(ReviewSchema.read(), ReviewTest.review(night).json());
  }

  @Test
  void whatCleaningTheSkimmerDidIsTold() throws IOException {
    RecordedNights night = RecordedNights.skimmerCleaned();
    JsonNode skimmer = lagoon(night).at("/skimmer");
    assertThat(skimmer.at("/air-before-l-min").doubleValue()).isEqualTo(4);
    assertThat(skimmer.at("/air-after-l-min").doubleValue()).isEqualTo(5);
    assertThat(skimmer.at("/redox-before-mv").doubleValue()).isEqualTo(371.5);
    assertThat(skimmer.at("/redox-after-mv").doubleValue()).isEqualTo(381.5);
    assertThat(skimmer.at("/tuned").isNull()).isTrue();
    assertThat(text(night))
        .contains("skimmer cleaned 2026-01-14 ")
        .contains(
            "the last cleaning: air 4.00 L/min before, 5.00 L/min after; redox outside doses 371.5"
                + " mV before, 381.5 mV after");
    ReviewSchema.assertDescribes(ReviewSchema.read(), ReviewTest.review(night).json());
  }

  @Test
  void aResidualOxidantOverWhatIsSafeNeedsAHand() throws IOException {
    RecordedNights night =
        RecordedNights.withCarbon()
            .changes("off-gas", "Ana")
            .changes("effluent", "Ines")
            .steady(3_700, 320, 320)
            .measures("0.2", "Ana")
            .steady(60, 320, 320);
    assertThat(text(night))
        .contains(
            "It needs a hand: the residual oxidant that was measured last is over what is safe, and"
                + " until a later one is not there is no ozone.")
        .contains(
            "residual-oxidant 0.200 mg/L as Cl2, by Ana, 2026-01-15 01:31 +00:00: no ozone until a"
                + " later one is not over 0.060 mg/L; redox is not residual oxidant")
        .contains("Ended: residual-oxidant: 0.200 mg/L as Cl2 was measured by Ana");
    JsonNode residual = lagoon(night).at("/residual-oxidant");
    assertThat(residual.at("/mg-per-l-as-cl2").doubleValue()).isEqualTo(0.2);
    assertThat(residual.at("/over").booleanValue()).isTrue();
    assertThat(residual.at("/by").asText()).isEqualTo("Ana");
    ReviewSchema.assertDescribes(ReviewSchema.read(), ReviewTest.review(night).json());

    night.measures("0.04", "Ines").steady(30, 320, 320);
    assertThat(text(night)).doesNotContain("needs a hand: ").contains("safe is up to 0.060 mg/L");
  }
}
