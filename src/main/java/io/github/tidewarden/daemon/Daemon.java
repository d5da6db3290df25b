package io.github.tidewarden.daemon;

import io.github.tidewarden.audit.AuditListener;
import io.github.tidewarden.audit.AuditThread;
import io.github.tidewarden.audit.BehindMark;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.audit.Head;
import io.github.tidewarden.audit.SitePast;
import io.github.tidewarden.audit.StateLock;
import io.github.tidewarden.audit.StateLockedException;
import io.github.tidewarden.audit.Trace;
import io.github.tidewarden.audit.TraceEntry;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.daemon.ControlLoop.Letter;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.mqtt.Inbox;
import io.github.tidewarden.mqtt.Link;
import io.github.tidewarden.mqtt.LinkListener;
import io.github.tidewarden.mqtt.LinkSettings;
import io.github.tidewarden.mqtt.PahoLink;
import io.github.tidewarden.mqtt.SiteTopics;
import io.github.tidewarden.schedule.ClockWatch;
import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.time.Duration;
import java.time.Instant;
import java.time.zone.ZoneRulesProvider;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import org.quartz.SchedulerException;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * The daemon, wired by hand. Order of start: lock the state directory, recover the audit, load
 * latches, first cycle, ready; then connect, send rest to every actuator, subscribe.
 */
public final class Daemon implements AutoCloseable {

  /** How long a stop in good order may take in all. */
  static final Duration STOP_BOUND = Duration.ofSeconds(5);

  private static final Logger LOG = LoggerFactory.getLogger(Daemon.class);

  private static final String LAST_WILL = "{\"online\":false,\"why\":\"the daemon is gone\"}";
  private static final String WATCH_ONLY_LAST_WILL =
      "{\"watch-only\":true,\"online\":false,\"why\":\"the daemon is gone\"}";

  private final StateLock lock;
  private final Clocks clocks;
  private final AuditThread audit;
  private final Trace trace;
  private final Link link;
  private final Wakes wakes;
  private final ControlLoop loop;
  private final Mailbox<Letter> mailbox;
  private final Thread thread;

  private Daemon(Configuration configuration, StateLock lock, Watcher watcher)
      throws DaemonException, SchedulerException {
    this.lock = lock;
    mailbox = new Mailbox<>();
    clocks = new Clocks(configuration.clock());
    SiteTopics topics = new SiteTopics(configuration.site().name());
    Inbox inbox =
        new Inbox(
            topics.operate(),
            Instant::now,
            System::nanoTime,
            mailbox::wake,
            delivery -> mailbox.post(new Letter.TurnedAway(delivery)));
    link = link(configuration, inbox);
    BehindMark mark = new BehindMark(configuration.stateDir());
    mark.prepare();
    DirectoryFiles files = new DirectoryFiles(configuration.stateDir().resolve("audit"));
    SitePast past = SitePast.of(files, configuration.site().tanks(), mark.isSet());
    audit = new AuditThread(past.log(), new AuditMail(), mark);
    audit.start();
    Map<String, Object> started = started(configuration);
    trace =
        new Trace(
            configuration.stateDir().resolve("trace"),
            String.valueOf(started.get("version")),
            configuration.digest(),
            configuration.site().name(),
            configuration.site().zone());
    trace.start();
    wakes =
        new Wakes(
            configuration.site(),
            configuration.reviewAt(),
            mailbox::wake,
            new ReviewWriter(configuration));
    Site site = new Site(configuration.site());
    ClockWatch.Observation first = ClockWatch.start(clocks.source(), clocks.sample());
    TraceEntry.Booted boot =
        new TraceEntry.Booted(
            past.memory(), Clocks.bootId(), past.mended(), past.readable(), started, first.now());
    trace.booted(boot);
    Site.Result booted =
        site.boot(
            boot.memory(), boot.boot(), boot.recovery(), boot.readable(), boot.start(), boot.now());
    loop =
        new ControlLoop(
            new ControlLoop.Wiring(
                site,
                topics,
                configuration.site().zone(),
                clocks,
                inbox,
                mailbox,
                link,
                audit,
                trace,
                wakes,
                watcher,
                configuration.watchOnly()),
            first,
            booted);
    thread = new Thread(loop, "control");
    clocks.start();
    wakes.start(first.now());
    thread.start();
    LOG.info("ready; connecting to {}", configuration.broker().url());
    link.start(new LinkMail());
  }

  /**
   * Starts the daemon; it runs in threads of its own.
   *
   * @param configuration a checked configuration
   * @param watcher looks on
   * @throws DaemonException when it cannot start: another daemon holds the state directory, or it
   *     cannot be written, or the password cannot be read
   */
  public static Daemon start(Configuration configuration, Watcher watcher) throws DaemonException {
    StateLock lock;
    try {
      Files.createDirectories(configuration.stateDir());
      lock = StateLock.acquire(configuration.stateDir());
      own(lock, configuration);
    } catch (StateLockedException e) {
      throw new DaemonException(
          Exit.ANOTHER,
          configuration.stateDir() + " is held by another daemon; stop that one first");
    } catch (IOException e) {
      throw new DaemonException(
          Exit.IO,
          configuration.stateDir()
              + " cannot be written: "
              + e.getMessage()
              + "; make it a directory that this user may write");
    }
    try {
      return new Daemon(configuration, lock, watcher);
    } catch (SchedulerException e) {
      release(lock);
      throw new DaemonException(Exit.SOFTWARE, "the scheduler did not start: " + e.getMessage());
    } catch (DaemonException | RuntimeException e) {
      release(lock);
      throw e;
    }
  }

  private static void own(StateLock lock, Configuration configuration)
      throws DaemonException, IOException {
    try {
      StateOwner.take(configuration);
    } catch (DaemonException | IOException | RuntimeException e) {
      release(lock);
      throw e;
    }
  }

  /** Waits until the daemon ends by itself or is stopped. */
  public Exit awaitEnd() throws InterruptedException {
    return loop.awaitEnd();
  }

  /**
   * Puts everything to rest, says so, and ends; within {@link #STOP_BOUND}.
   *
   * @return how it ended
   */
  public Exit stop(String why, Exit exit) {
    mailbox.post(new Letter.Stop(why, exit));
    Exit ended = Exit.SOFTWARE;
    try {
      if (loop.awaitEnd(STOP_BOUND.toMillis() * 3 / 8)) {
        ended = loop.awaitEnd();
      } else {
        LOG.error("the control thread did not end; the devices drop out by themselves");
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    close();
    return ended;
  }

  @Override
  public void close() {
    link.close(STOP_BOUND.dividedBy(4));
    audit.close(STOP_BOUND.dividedBy(4));
    trace.close(STOP_BOUND.dividedBy(8));
    wakes.close();
    clocks.close();
    release(lock);
  }

  private static Link link(Configuration configuration, Inbox inbox) throws DaemonException {
    String will = configuration.watchOnly() ? WATCH_ONLY_LAST_WILL : LAST_WILL;
    Link real =
        new PahoLink(
            new LinkSettings(
                URI.create(configuration.broker().url()),
                configuration.site().name(),
                Passwords.credentials(configuration.broker()),
                will.getBytes(StandardCharsets.UTF_8)),
            inbox);
    return configuration.watchOnly() ? Obeyed.link(real, configuration.site(), inbox) : real;
  }

  private static void release(StateLock lock) {
    try {
      lock.close();
    } catch (IOException e) {
      LOG.warn("the lock was not released in good order", e);
    }
  }

  private static Map<String, Object> started(Configuration configuration) {
    String version = Daemon.class.getPackage().getImplementationVersion();
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("version", version == null ? "unpackaged" : version);
    fields.put("zone-data", ZoneRulesProvider.getVersions("UTC").lastEntry().getKey());
    fields.put("config-digest", configuration.digest());
    if (configuration.watchOnly()) {
      fields.put("watch-only", true);
    }
    return fields;
  }

  /** From the audit's thread into the mailbox. */
  private final class AuditMail implements AuditListener {
    @Override
    public void synced(long ticket) {
      if (ticket != 0) {
        mailbox.post(new Letter.Happened(new Event.Synced(ticket)));
      }
    }

    @Override
    public void failed(long ticket, String why) {
      if (ticket != 0) {
        mailbox.post(new Letter.Happened(new Event.Unwritten(ticket, why)));
      }
    }

    @Override
    public void head(Head head) {
      mailbox.post(new Letter.HeadMoved(head));
    }
  }

  /** From the link's thread into the mailbox. */
  private final class LinkMail implements LinkListener {
    private static final String TAKEN_OVER = "another client has taken over the client id";

    private boolean up;
    private static final int MOST_LOSSES = 4;

    private boolean takenOver;
    private int lossesSince;

    @Override
    public void up() {
      up = true;
      LOG.info("connected");
      mailbox.post(new Letter.Happened(new Event.LinkUp()));
      // After a takeover the link comes up once more, only so that rest can be sent.
      if (takenOver) {
        mailbox.post(new Letter.Stop(TAKEN_OVER, Exit.ANOTHER));
      }
    }

    @Override
    public void down(String why) {
      if (up) {
        mailbox.post(new Letter.Happened(new Event.LinkDown(why)));
        LOG.warn("the broker is lost: {}", why);
      } else {
        LOG.warn("the broker is not reached, trying on: {}", why);
      }
      up = false;
      if (takenOver && ++lossesSince >= MOST_LOSSES) {
        mailbox.post(new Letter.Stop(TAKEN_OVER, Exit.ANOTHER));
      }
    }

    @Override
    public void refused(Set<String> topics, String why) {
      LOG.error("the broker refuses {} ({}); nothing is heard of them", topics, why);
      mailbox.post(new Letter.Happened(new Event.Refused(topics, why)));
    }

    @Override
    public void subscribed() {
      mailbox.post(new Letter.Subscribed());
    }

    @Override
    public void takenOver() {
      LOG.error("another client has taken this daemon's place at the broker");
      takenOver = true;
    }

    @Override
    public void lost(Command command, String why) {
      LOG.warn("not delivered: {}: {}", command, why);
      if (command.runs()) {
        mailbox.post(new Letter.Happened(new Event.Undelivered(command.tank(), why)));
      }
    }

    @Override
    public void fault(Throwable thrown) {
      LOG.error("a fault in the link; it goes on", thrown);
    }
  }
}
