package io.github.tidewarden.cli;

import io.github.tidewarden.daemon.Exit;
import java.io.PrintWriter;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import picocli.CommandLine;
import picocli.CommandLine.Command;

/** The command line. Data goes to stdout, diagnostics to stderr, exit codes follow sysexits.h. */
@Command(
    name = "tidewarden",
    description =
        "Night ozone and daily water exchange for marine aquaria, unattended and accounted for.",
    mixinStandardHelpOptions = true,
    versionProvider = Tidewarden.Version.class,
    subcommands = {
      RunVerb.class,
      CheckVerb.class,
      PlanVerb.class,
      DemoVerb.class,
      RehearseVerb.class,
      DrillVerb.class,
      ReplayVerb.class,
      ReviewVerb.class,
      AuditVerb.class,
      ResetVerb.class,
      NoteVerb.class,
      BatchVerb.class,
      CalibrateVerb.class,
      HoldVerb.class
    },
    synopsisSubcommandLabel = "VERB",
    footer = {
      "",
      "Exit codes: 0 ok, 1 a drill failed, 64 usage, 65 not as it should be, 69 no answer,",
      "70 internal fault, 74 input or output, 75 another daemon, 77 credential, 78 configuration."
    })
public final class Tidewarden {
  Tidewarden() {}

  /** Runs one verb and exits with its code. */
  public static void main(String[] args) {
    Console.useUtf8();
    System.exit(run(Console.writer(System.out), Console.writer(System.err), args));
  }

  /** Runs one verb; returns its exit code. */
  static int run(PrintWriter out, PrintWriter err, String... args) {
    String complaint = Arguments.complaint(args);
    if (complaint != null) {
      err.println("tidewarden: " + complaint);
      return Exit.USAGE.code();
    }
    int code = line().setOut(out).setErr(err).execute(args);
    if (out.checkError() && code == Exit.OK.code()) {
      err.println("tidewarden: standard output could not be written");
      return Exit.IO.code();
    }
    return code;
  }

  private static CommandLine line() {
    CommandLine line =
        new CommandLine(new Tidewarden())
            .registerConverter(LocalDate.class, Arguments::date)
            .registerConverter(Instant.class, Arguments::time)
            .registerConverter(ZoneId.class, Arguments::zone)
            .setExecutionExceptionHandler(
                (exception, command, parsed) -> {
                  command.getErr().println("tidewarden: a fault of the program: " + exception);
                  return Exit.SOFTWARE.code();
                });
    wrongUseIs64(line);
    return line;
  }

  private static void wrongUseIs64(CommandLine line) {
    line.getCommandSpec().exitCodeOnInvalidInput(Exit.USAGE.code());
    line.getSubcommands().values().forEach(Tidewarden::wrongUseIs64);
  }

  /** The version from the jar. */
  static final class Version implements CommandLine.IVersionProvider {
    @Override
    public String[] getVersion() {
      String version = Tidewarden.class.getPackage().getImplementationVersion();
      return new String[] {"tidewarden " + (version == null ? "unpackaged" : version)};
    }
  }
}
