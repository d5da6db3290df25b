package io.github.tidewarden.cli;

import io.github.tidewarden.audit.AuditFiles;
import io.github.tidewarden.audit.AuditPrinter;
import io.github.tidewarden.audit.AuditVerifier;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.daemon.DaemonException;
import io.github.tidewarden.daemon.Exit;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.time.Instant;
import java.time.ZoneId;
import java.util.Arrays;
import org.jspecify.annotations.Nullable;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code audit verify} and {@code audit show}. */
@Command(
    name = "audit",
    description = "Checks or prints the audit log.",
    mixinStandardHelpOptions = true,
    subcommands = {AuditVerb.Verify.class, AuditVerb.Show.class},
    synopsisSubcommandLabel = "VERB")
final class AuditVerb {

  /** Where the log is: the state directory, or its {@code audit} directory itself. */
  private static AuditFiles files(Path directory) throws IOException {
    Path inside = directory.resolve("audit");
    Path log = Files.isDirectory(inside) ? inside : directory;
    if (!Files.isDirectory(log)) {
      throw new NoSuchFileException(log.toString(), null, "there is no such directory");
    }
    return new DirectoryFiles(log);
  }

  /** A log always begins with a checkpoint, so where there is no record there is no log. */
  private static DaemonException noAudit(Path directory) {
    return new DaemonException(
        Exit.DATA,
        "there is no audit here: "
            + directory
            + " holds no record; give the state directory of a daemon that has run");
  }

  /** {@code audit verify DIR}. */
  @Command(
      name = "verify",
      description = "Checks the chain; exit code 65 when a record is not as it was written.")
  static final class Verify extends Verb {
    @Parameters(paramLabel = "DIR", description = "The state directory.")
    @SuppressWarnings("NullAway.Init") // set by picocli
    private Path directory;

    @Option(
        names = "--head",
        paramLabel = "HASH",
        description = "A hash that was published once; notices a log that was cut short.")
    private @Nullable String head;

    @Override
    Exit go() throws IOException, DaemonException {
      AuditVerifier.Verdict verdict = AuditVerifier.verify(files(directory), head);
      verdict.notes().forEach(note -> err().println("note: " + note));
      AuditVerifier.FirstBad bad = verdict.firstBad();
      if (bad != null) {
        out().println("bad: " + bad);
        return Exit.DATA;
      }
      if (verdict.records() == 0) {
        throw noAudit(directory);
      }
      out()
          .printf(
              "good: %d records, %d to %d, head %s%n",
              verdict.records(), verdict.firstSeq(), verdict.last().seq(), verdict.last().hash());
      return Exit.OK;
    }
  }

  /** {@code audit show DIR}. */
  @Command(name = "show", description = "Prints records, as text or as the lines that they are.")
  static final class Show extends Verb {
    @Parameters(paramLabel = "DIR", description = "The state directory.")
    @SuppressWarnings("NullAway.Init") // set by picocli
    private Path directory;

    @Option(names = "--tank", paramLabel = "T", description = "Only of this tank.")
    private @Nullable String tank;

    @Option(names = "--kind", paramLabel = "K", description = "Only of this kind, such as trip.")
    private @Nullable String kind;

    @Option(names = "--from", paramLabel = "TIME", description = "From this time on (RFC 3339).")
    private @Nullable Instant from;

    @Option(names = "--to", paramLabel = "TIME", description = "Before this time (RFC 3339).")
    private @Nullable Instant to;

    @Option(names = "--zone", paramLabel = "ZONE", description = "Time zone of the text.")
    private ZoneId zone = ZoneId.systemDefault();

    @Option(names = "--json", description = "The lines as they are in the log.")
    private boolean json;

    @Override
    Exit go() throws IOException, DaemonException {
      AuditPrinter.Filter filter = new AuditPrinter.Filter(tank, kind(), from, to);
      AuditPrinter.Printed printed =
          json
              ? AuditPrinter.printJson(files(directory), filter, out(), err())
              : AuditPrinter.printText(files(directory), filter, zone, out(), err());
      if (printed.read() == 0) {
        throw noAudit(directory);
      }
      if (printed.printed() == 0) {
        err().println("tidewarden: nothing to show: no record is of what was asked for");
      }
      return Exit.OK;
    }

    private @Nullable Kind kind() {
      if (kind == null) {
        return null;
      }
      return Arrays.stream(Kind.values())
          .filter(known -> known.word().equals(kind))
          .findFirst()
          .orElseThrow(
              () ->
                  new CommandLine.ParameterException(
                      spec.commandLine(),
                      "there is no kind \""
                          + kind
                          + "\"; one of "
                          + Arrays.stream(Kind.values()).map(Kind::word).toList()));
    }
  }
}
