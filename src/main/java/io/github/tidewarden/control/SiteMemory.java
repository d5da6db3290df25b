package io.github.tidewarden.control;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * What must survive a crash, for the whole site: a fold over audit records, the same live and in
 * recovery.
 *
 * @param boot the boot in which the daemon last started; empty before the first start
 * @param lastSeen the youngest trusted time at which something was recorded; null when never
 * @param requests ids of the keeper's requests that came last, oldest first, so that none is done
 *     twice
 * @param bins what is known of each bin of new water, by name
 * @param tanks the memory of each tank, by name; also of tanks that the configuration no longer has
 */
public record SiteMemory(
    String boot,
    @Nullable Instant lastSeen,
    List<String> requests,
    Map<String, BinMemory> bins,
    Map<String, TankMemory> tanks) {

  /** How many requests are remembered; within the time in which one may be replayed. */
  static final int MOST_REQUESTS = 256;

  /** A site without a past. */
  public static final SiteMemory BLANK = new SiteMemory("", null, List.of(), Map.of(), Map.of());

  /** Copies the collections; the maps are sorted. */
  public SiteMemory {
    requests = List.copyOf(requests);
    bins = Collections.unmodifiableSortedMap(new TreeMap<>(bins));
    tanks = Collections.unmodifiableSortedMap(new TreeMap<>(tanks));
  }

  /** The memory of one tank. */
  public TankMemory tank(String name) {
    return tanks.getOrDefault(name, TankMemory.BLANK);
  }

  /** What is known of a bin of new water. */
  public BinMemory bin(String name) {
    return bins.getOrDefault(name, BinMemory.BLANK);
  }

  private Map<String, BinMemory> bins(AuditRecord record, String nextBoot) {
    Fields fields = new Fields(record.fields());
    if (record.kind() == Kind.RECOVERED && fields.flag(Fields.LATCHED)) {
      return Map.of(); // what was confirmed is not known any more
    }
    if (!fields.has(Fields.BIN)) {
      return bins;
    }
    String name = fields.text(Fields.BIN);
    Map<String, BinMemory> next = new TreeMap<>(bins);
    next.put(name, bin(name).apply(record, nextBoot));
    return next;
  }

  /** What was lost is counted in the boot that found it so; older records do not name that. */
  private String bootAfter(AuditRecord record) {
    Fields fields = new Fields(record.fields());
    boolean named = record.kind() == Kind.RECOVERED && fields.has(Fields.BOOT);
    return named || record.kind() == Kind.START ? fields.text(Fields.BOOT) : boot;
  }

  /**
   * The memory after one record.
   *
   * @throws IllegalArgumentException when the record lacks what its kind must have
   */
  public SiteMemory apply(AuditRecord record) {
    String nextBoot = bootAfter(record);
    Map<String, TankMemory> nextTanks = new TreeMap<>(tanks);
    if (record.tank().isEmpty()) {
      nextTanks.replaceAll((name, memory) -> memory.apply(record, nextBoot));
    } else {
      nextTanks.put(record.tank(), tank(record.tank()).apply(record, nextBoot));
    }
    return new SiteMemory(
        nextBoot, seen(record), remembered(record), bins(record, nextBoot), nextTanks);
  }

  /** The memory of the site alone after one record; its tanks remember for themselves. */
  SiteMemory noted(AuditRecord record) {
    return new SiteMemory(boot, seen(record), remembered(record), bins(record, boot), tanks);
  }

  /** The memory with a tank that the configuration names, so that the site's records reach it. */
  public SiteMemory knowing(List<TankSpec> specs) {
    return knowing(specs.stream().map(TankSpec::name));
  }

  /** The memory with tanks of these names, so that the site's records reach them. */
  public SiteMemory knowing(Stream<String> names) {
    Map<String, TankMemory> nextTanks = new TreeMap<>(tanks);
    names.forEach(name -> nextTanks.putIfAbsent(name, TankMemory.BLANK));
    return new SiteMemory(boot, lastSeen, requests, bins, nextTanks);
  }

  /** The memory without tanks that remember for themselves. */
  SiteMemory without(Set<String> names) {
    Map<String, TankMemory> others = new TreeMap<>(tanks);
    others.keySet().removeAll(names);
    return new SiteMemory(boot, lastSeen, requests, bins, others);
  }

  private @Nullable Instant seen(AuditRecord record) {
    Instant last = lastSeen;
    return record.trusted() && (last == null || record.at().isAfter(last)) ? record.at() : last;
  }

  private List<String> remembered(AuditRecord record) {
    boolean request = record.kind() == Kind.ACT || record.kind() == Kind.ACT_REFUSED;
    return request ? with(new Fields(record.fields()).text(KeeperAct.ID)) : requests;
  }

  /** The memory with a request that is on its way to the disk, so that it is not taken again. */
  SiteMemory taking(String id) {
    return new SiteMemory(boot, lastSeen, with(id), bins, tanks);
  }

  /** The memory without a request that did not get to the disk. */
  SiteMemory forgetting(String id) {
    return new SiteMemory(
        boot, lastSeen, requests.stream().filter(known -> !known.equals(id)).toList(), bins, tanks);
  }

  private List<String> with(String id) {
    if (id.isEmpty() || requests.contains(id)) {
      return requests;
    }
    List<String> next = new ArrayList<>(requests);
    next.add(id);
    while (next.size() > MOST_REQUESTS) {
      next.remove(0);
    }
    return next;
  }
}
