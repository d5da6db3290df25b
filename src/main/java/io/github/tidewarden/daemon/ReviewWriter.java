package io.github.tidewarden.daemon;

import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.review.ReviewReader;
import io.github.tidewarden.review.ReviewedSite;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Writes the review of the day since the last one when it is due, as text into {@code
 * STATE_DIR/reviews/DATE.txt}, named by the morning. Runs on a thread of Quartz; a failure costs
 * only the page.
 */
final class ReviewWriter implements Runnable {
  private static final Logger LOG = LoggerFactory.getLogger(ReviewWriter.class);
  private static final Duration DAY = Duration.ofDays(1);

  private final Configuration configuration;

  ReviewWriter(Configuration configuration) {
    this.configuration = configuration;
  }

  @Override
  public void run() {
    Instant now = Instant.now();
    Path directory = configuration.stateDir().resolve("reviews");
    String name = LocalDate.ofInstant(now, configuration.site().zone()) + ".txt";
    try {
      String text = reader(configuration).since(now.minus(DAY)).text();
      Files.createDirectories(directory);
      Path part = directory.resolve(name + ".part");
      Files.writeString(part, text);
      Files.move(part, directory.resolve(name), StandardCopyOption.ATOMIC_MOVE);
      LOG.info("the review is written: reviews/{}", name);
    } catch (IOException | RuntimeException e) {
      LOG.warn("the review could not be written: {}", e.toString());
    }
  }

  private static ReviewReader reader(Configuration configuration) {
    return new ReviewReader(
        new DirectoryFiles(configuration.stateDir().resolve("audit")),
        ReviewedSite.of(
            configuration.site(), configuration.air(), configuration.file().toString()));
  }
}
