package io.github.tidewarden.audit;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/** What the audit answered, in order. */
final class Answers implements AuditListener {

  final List<Long> synced = new ArrayList<>();
  final Map<Long, String> failed = new LinkedHashMap<>();
  final List<Head> heads = new ArrayList<>();

  @Override
  public void synced(long ticket) {
    synced.add(ticket);
  }

  @Override
  public void failed(long ticket, String why) {
    failed.put(ticket, why);
  }

  @Override
  public void head(Head head) {
    heads.add(head);
  }
}
