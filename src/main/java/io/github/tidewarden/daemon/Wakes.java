package io.github.tidewarden.daemon;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZonedDateTime;
import java.util.Date;
import java.util.Objects;
import java.util.Properties;
import java.util.Set;
import java.util.TreeSet;
import org.quartz.Job;
import org.quartz.JobBuilder;
import org.quartz.JobDetail;
import org.quartz.JobExecutionContext;
import org.quartz.Scheduler;
import org.quartz.SchedulerException;
import org.quartz.TriggerBuilder;
import org.quartz.impl.StdSchedulerFactory;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Wakes the control thread at the edges of windows and nights, and says when the review is due.
 * Only a wake-up: whether something may run is decided anew in every cycle, so a lost or late
 * trigger can leave nothing on. Each edge is a one-shot trigger computed with java.time; after a
 * clock step all are made anew.
 */
final class Wakes implements AutoCloseable {

  private static final Logger LOG = LoggerFactory.getLogger(Wakes.class);
  private static final String WAKE = "wake";
  private static final int NIGHTS_AHEAD = 2;

  private final SiteSpec site;
  private final LocalTime reviewAt;
  private final Scheduler scheduler;
  private final Runnable wake;
  private final Runnable review;

  /**
   * Wakes for one site.
   *
   * @param site whose windows
   * @param reviewAt local time at which the review is due
   * @param wake wakes the control thread; must not block
   * @param review writes the review; runs on one of Quartz's threads
   */
  Wakes(SiteSpec site, LocalTime reviewAt, Runnable wake, Runnable review)
      throws SchedulerException {
    this.site = site;
    this.reviewAt = reviewAt;
    this.wake = wake;
    this.review = review;
    Properties properties = new Properties();
    properties.setProperty("org.quartz.scheduler.instanceName", "tidewarden-" + site.name());
    properties.setProperty("org.quartz.scheduler.skipUpdateCheck", "true");
    properties.setProperty("org.quartz.threadPool.class", "org.quartz.simpl.SimpleThreadPool");
    properties.setProperty("org.quartz.threadPool.threadCount", "1");
    properties.setProperty("org.quartz.threadPool.makeThreadsDaemons", "true");
    properties.setProperty("org.quartz.scheduler.makeSchedulerThreadDaemon", "true");
    properties.setProperty("org.quartz.jobStore.class", "org.quartz.simpl.RAMJobStore");
    scheduler = new StdSchedulerFactory(properties).getScheduler();
    scheduler.getContext().put(WAKE, this);
  }

  void start(Moment now) throws SchedulerException {
    scheduler.start();
    rebuild(now);
  }

  /** Forgets all triggers and makes those of the next nights anew. Only enqueues; no disk. */
  synchronized void rebuild(Moment now) {
    try {
      scheduler.clear();
      for (Instant edge : edges(now.wall())) {
        schedule(edge, false);
      }
      schedule(nextReview(now.wall()), true);
    } catch (SchedulerException e) {
      LOG.warn("wake-ups could not be made anew; the control thread wakes each second anyway", e);
    }
  }

  /** Edges of windows and nights after an instant, for the next nights. */
  Set<Instant> edges(Instant after) {
    TreeSet<Instant> edges = new TreeSet<>();
    LocalDate tonight = Nights.nightOf(after, site.zone());
    for (int ahead = 0; ahead <= NIGHTS_AHEAD; ahead++) {
      LocalDate night = tonight.plusDays(ahead);
      edges.add(Nights.interval(night, site.zone()).end());
      for (TankSpec tank : site.tanks()) {
        OzoneSpec ozone = tank.ozone();
        if (ozone != null) {
          for (OpenWindow window : NightPlan.of(night, site.zone(), ozone.windows()).windows()) {
            edges.add(window.interval().start());
            edges.add(window.interval().end());
          }
        }
      }
    }
    edges.removeIf(edge -> !edge.isAfter(after));
    return edges;
  }

  private Instant nextReview(Instant after) {
    ZonedDateTime local = after.atZone(site.zone());
    ZonedDateTime today = local.toLocalDate().atTime(reviewAt).atZone(site.zone());
    return today.toInstant().isAfter(after)
        ? today.toInstant()
        : local.toLocalDate().plusDays(1).atTime(reviewAt).atZone(site.zone()).toInstant();
  }

  private void schedule(Instant at, boolean reviewDue) throws SchedulerException {
    JobDetail job = JobBuilder.newJob(reviewDue ? ReviewJob.class : WakeJob.class).build();
    scheduler.scheduleJob(job, TriggerBuilder.newTrigger().startAt(Date.from(at)).build());
  }

  @Override
  public void close() {
    try {
      scheduler.shutdown(false);
    } catch (SchedulerException e) {
      LOG.warn("the wake-ups did not end in good order", e);
    }
  }

  private static Wakes wakes(JobExecutionContext context) {
    try {
      return (Wakes) Objects.requireNonNull(context.getScheduler().getContext().get(WAKE));
    } catch (SchedulerException e) {
      throw new IllegalStateException(e);
    }
  }

  /** An edge has come: the control thread looks anew, and the next nights' edges are made. */
  public static final class WakeJob implements Job {
    @Override
    public void execute(JobExecutionContext context) {
      Wakes wakes = wakes(context);
      wakes.wake.run();
      wakes.rebuild(new Moment(Instant.now(), System.nanoTime(), false));
    }
  }

  /** The review is due; late or early by a stepped clock it is still only a page. */
  public static final class ReviewJob implements Job {
    @Override
    public void execute(JobExecutionContext context) {
      Wakes wakes = wakes(context);
      wakes.review.run();
      wakes.rebuild(new Moment(Instant.now(), System.nanoTime(), false));
    }
  }
}
