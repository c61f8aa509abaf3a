#!/bin/sh
# The bag as a table, one club a line: sh ladder.sh rowan
curl -sS --fail-with-body "${EVENCARRY_URL:-http://127.0.0.1:8417}/v1/players/$1/ladder" |
  jq -r '.rungs[] | [.club, .metrics.carry_m.centre, .metrics.launch_angle_deg.centre, .metrics.spin_rate_rpm.centre, .metrics.carry_m.n] | @tsv'
