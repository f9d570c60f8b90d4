"""What each yarn of a studio takes, and which piece takes most of it:  where_it_goes.py STUDIO"""
import json
import subprocess
import sys

asked = subprocess.run(["ellwand", "estimate", sys.argv[1], "--json"], capture_output=True, text=True)
if asked.returncode != 0:
    sys.exit(asked.stderr.strip())
told = json.loads(asked.stdout)
if told["schema"] != 1:
    sys.exit(f"this reads schema 1, and ellwand tells schema {told['schema']}")

for yarn in told["totals"][0]["yarns"]:
    mean_g = {piece["name"]: of_piece["mean_g"]
              for piece in told["pieces"] for of_piece in piece["yarns"]
              if of_piece["yarn"] == yarn["yarn"]}
    most = max(mean_g, key=mean_g.get)
    mass = yarn["mass_g"]
    print(f"{yarn['yarn']:13} {mass['mid']:5.1f} g ({mass['low']:.1f} to {mass['high']:.1f}), "
          f"{mean_g[most] / sum(mean_g.values()):.0%} of it in {most}")
