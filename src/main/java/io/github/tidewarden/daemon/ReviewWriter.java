package io.github.tidewarden.daemon;

import io.github.tidewarden.config.Configuration;

/** Writes the morning review when it is due. */
final class ReviewWriter implements Runnable {
  private final Configuration configuration;

  ReviewWriter(Configuration configuration) {
    this.configuration = configuration;
  }

  @Override
  public void run() {
    org.slf4j.LoggerFactory.getLogger(ReviewWriter.class)
        .info("the review of {} is due", configuration.site().name());
  }
}
