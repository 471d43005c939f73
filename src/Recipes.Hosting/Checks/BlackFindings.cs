using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>Near-black that prints: what pure-black would take at its defaults, and what it leaves and why; and black that stays bare.</summary>
internal static class BlackFindings
{
    // The defaults of pure-black; a finding is what the recipe would change.
    private const double Lightness = 13, Chroma = 3;

    public static void Of(Found found, Looked looked)
    {
        if (!looked.Setup.Ink.BlackBare)
        {
            return;
        }

        var (flat, printed) = (looked.Art.Flat, looked.Printed);
        var dark = Find.DrawnBlack(flat, Lightness, Chroma);
        var takes = dark.Drawn.Intersect(printed);
        var fades = dark.Fades.Intersect(printed);
        var asked = fades.IsEmpty || dark.AboutFades(decided: false) is not { } question ? null : AskedQuestion.Of(question, "pure-black", 0);
        if (asked is not null)
        {
            found.Questions.Add(asked);
        }

        if (!takes.IsEmpty || (asked is not null && looked.Decisions.Split(asked).Open is not null))
        {
            found.Findings.Add(NearBlack(dark.Within.Intersect(printed), takes, fades, printed.Count));
        }

        if (dark.Tinted.Intersect(printed) is { } lines && lines.Count >= WhiteQuestions.SmallestAtEdge(looked.Ppi))
        {
            found.Add("near-black", lines, null, "in lines as dark as black, but tinted over their whole width, will print: a lossy file makes such of thin "
                + "black outlines. Where they are to drop, raise pure-black.chroma.");
        }

        var black = Find.PureBlack(flat);
        if (!black.IsEmpty)
        {
            found.Add("bare-black", black, "print-black", "of pure black will stay bare and show the garment. Where they must print, make them printable."
                + (dark.Scattered.IsEmpty ? ""
                    : $" {Numeral.Of(dark.Scattered.Count)} of them, scattered in a shadow that prints around them, may show there as mottle."));
        }
    }

    // Of what prints: what lies within the limits, what the recipe takes, and what runs into a fade.
    private static Finding NearBlack(Region within, Region takes, Region fades, long printed)
    {
        var left = within.Except(takes);
        long inFades = left.Intersect(fades).Count, beyond = takes.Except(within).Count;
        string why = string.Join(" and ", new[]
        {
            inFades > 0 ? $"{Numeral.Of(inFades)} px of even black that runs into a fade" : "",
            left.Count > inFades ? $"{Numeral.Of(left.Count - inFades)} px of shadow, texture or soft edges" : "",
        }.Where(part => part.Length > 0));
        string what = $"of drawn black, not 0,0,0, will print instead of showing the "
            + $"garment{(beyond > 0 ? $", {Numeral.Of(beyond)} of them noise over the limits" : "")}. "
            + $"{Numeral.Of(within.Count)} px within the limits print: pure-black takes "
                + $"{Numeral.Of(within.Count - left.Count)}{(why.Length > 0 ? $" and leaves {why}" : "")}.";
        // Where nothing but this black prints, dropping it would leave a bare garment: that is for print-black, or for another setup.
        string message = takes.IsEmpty
            ? $"{Numeral.Of(fades.Count)} px of even black that runs into a fade will print; pure-black leaves them until somebody says."
            : $"{Numeral.Of(takes.Count)} px {what}";
        return new Finding("near-black", message, takes.IsEmpty ? fades.Count : takes.Count,
            takes.IsEmpty ? fades.Bounds : takes.Bounds, takes.IsEmpty || takes.Count == printed ? null : "pure-black")
        {
            Where = takes.IsEmpty ? fades : takes,
        };
    }
}
