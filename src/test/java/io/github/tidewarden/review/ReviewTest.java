package io.github.tidewarden.review;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.control.RecordedNights;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.Map;
import java.util.Objects;
import org.junit.jupiter.api.Test;

/** Nights that the real core recorded, as a keeper reads them. */
class ReviewTest {
  static final ReviewedSite SITE =
      ReviewedSite.of(RecordedNights.site(), Map.of(), "harbour-lab.yaml");
  static final LocalDate NIGHT = LocalDate.of(2026, 1, 14);

  static Review review(RecordedNights night) {
    return Review.ofNight(Past.of(night.records()), SITE, NIGHT);
  }

  @Test
  void aGoodNightReadsLikeThis() throws IOException {
    assertThat(review(RecordedNights.good()).text()).isEqualTo(resource("good-night.txt"));
  }

  @Test
  void aNightThatEndsLatchedReadsLikeThis() throws IOException {
    assertThat(review(RecordedNights.latched()).text()).isEqualTo(resource("latched-night.txt"));
  }

  @Test
  void thePageShowsThatNightAsItReads() throws IOException {
    assertThat(Files.readString(Path.of("src/site/markdown/review.md")))
        .contains("```\n" + resource("latched-night.txt") + "```\n");
  }

  private static String resource(String name) throws IOException {
    try (InputStream in = ReviewTest.class.getResourceAsStream(name)) {
      return new String(Objects.requireNonNull(in, name).readAllBytes(), UTF_8);
    }
  }
}
