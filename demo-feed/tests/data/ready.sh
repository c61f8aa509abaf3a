#!/bin/sh
# Stands in for `serve --data DIR --listen ADDR`: names the address and stays until it is ended.
echo "listening on http://$5"
exec sleep 600
