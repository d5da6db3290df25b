package io.github.tidewarden.cli;

import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.review.Review;
import io.github.tidewarden.review.ReviewReader;
import io.github.tidewarden.review.ReviewedSite;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.time.LocalDate;
import org.jspecify.annotations.Nullable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code review}: a night told from the audit. */
@Command(name = "review", description = "Tells a night in the keeper's words, from the audit.")
final class ReviewVerb extends Verb {
  /** How a review is written. */
  enum Format {
    text,
    json
  }

  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(
      names = "--night",
      paramLabel = "DATE",
      description = "The night, by the date of its evening; else the last one.")
  private @Nullable LocalDate night;

  @Option(
      names = "--format",
      paramLabel = "FORMAT",
      description = "One of ${COMPLETION-CANDIDATES}; text if not given.")
  private Format format = Format.text;

  @Option(names = "--watch-only", description = "The night of the daemon that only watches.")
  private boolean watchOnly;

  @Override
  Exit go() throws Exception {
    Review review = of(read(config, watchOnly), night);
    out().print(format == Format.json ? review.json() : review.text());
    return Exit.OK;
  }

  /** A night from the state directory of a configuration; the last one for null. */
  static Review of(Configuration configuration, @Nullable LocalDate night) throws IOException {
    Path log = configuration.stateDir().resolve("audit");
    if (!Files.isDirectory(log)) {
      throw new NoSuchFileException(log.toString(), null, "no daemon has written here yet");
    }
    ReviewReader reader =
        new ReviewReader(
            new DirectoryFiles(log),
            ReviewedSite.of(
                configuration.site(), configuration.air(), configuration.file().toString()));
    return night == null ? reader.last() : reader.ofNight(night);
  }
}
