package io.github.tidewarden.cli;

import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.rehearsal.Replay;
import io.github.tidewarden.rehearsal.Replayed;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import org.jspecify.annotations.Nullable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code replay}: a recorded night run again. */
@Command(
    name = "replay",
    description = {
      "Runs a recorded night again: under the configuration of that night, which must decide the",
      "same; and under another one, to see what would have differed."
    })
final class ReplayVerb extends Verb {
  @Option(
      names = "--config",
      required = true,
      paramLabel = "FILE",
      description = "The site, as it was configured in that night.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(
      names = "--night",
      required = true,
      paramLabel = "DATE",
      description = "The night, by the date of its evening.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private LocalDate night;

  @Option(names = "--against", paramLabel = "FILE2", description = "Another configuration.")
  private @Nullable Path against;

  @Option(names = "--html", paramLabel = "OUT", description = "Writes a picture there.")
  private @Nullable Path html;

  @Option(names = "--watch-only", description = "The night of the daemon that only watches.")
  private boolean watchOnly;

  @Override
  Exit go() throws Exception {
    OutFile.check("--html", html);
    Configuration configuration = read(config, watchOnly);
    Configuration other = against == null ? null : read(against);
    Replayed replayed =
        Replay.of(
            new Replay.Task(
                configuration.stateDir(),
                night,
                configuration.site(),
                other == null ? null : other.site()));
    if (replayed.traced() && !replayed.digests().contains(configuration.digest())) {
      err()
          .println(
              "note: "
                  + config
                  + " has been changed since that night; what differs may come from that");
    }
    out().print(replayed.text());
    if (html != null && replayed.traced()) {
      Files.writeString(html, replayed.page());
    }
    return replayed.same() ? Exit.OK : Exit.DATA;
  }
}
