package greek

import "testing"

func TestLaTeX(t *testing.T) {
	for name, want := range map[string]string{
		"y": "y", "theta": `\theta`, "T_s": "T_{s}", "T_wall": `T_{\mathrm{wall}}`, "a_1_u_v": "a_{1,u,v}",
		"Bi": `\mathrm{Bi}`, "y1": `\mathrm{y1}`,
		"theta_inf": `\theta_{\infty}`, "DeltaT": `\Delta T`, "Delta": `\Delta`,
		"DeltaT_s": `\Delta T_{s}`, "Delta2": `\mathrm{Delta2}`, "Alpha": `\mathrm{Alpha}`,
		"k_12": "k_{12}", "a_s_": "a_{s}",
	} {
		if got := LaTeX(name); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}
