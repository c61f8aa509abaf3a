#!/bin/sh
# Stands in for a service that cannot open its store.
echo "the store is of a newer release" >&2
exit 4
