namespace Recipes.Imaging;

/// <summary>
/// The art's own colors behind a wide rim, one for each direction away from the background. Of strokes thinner than the fade
/// around them no pixel has its own color; the same color elsewhere in the art tells it.
/// </summary>
internal sealed class RimColors
{
    // How many levels a color may lie off a line to be on it, and by how much less than a share of its length. Ours.
    private const double Off = 6, OffShare = 0.04;

    // One odd pixel makes no color of the art; a fiftieth of its line does. And what is less than half a color isn't told by it, nor what is
    // nearly all of it. Ours.
    private const int Fewest = 3, Robust = 50, Most = 16;
    private const double LeastShare = 0.5, Further = 1.05;

    private readonly Premultiplied old;
    private readonly (Premultiplied Color, Premultiplied Way, double Far)[] colors;

    /// <param name="cores">Colors found behind the rim, in any order.</param>
    /// <param name="old">The background.</param>
    public RimColors(IEnumerable<Premultiplied> cores, Premultiplied old)
    {
        this.old = old;
        var lines = new List<List<Premultiplied>>();
        foreach (var core in cores.OrderByDescending(Far).ThenBy(core => core.R).ThenBy(core => core.G).ThenBy(core => core.B))
        {
            var line = lines.Find(line => IsOn(core, line[0]));
            if (line is not null)
            {
                line.Add(core);
            }
            else if (Far(core) >= RimProfile.LeastContrast)
            {
                lines.Add([core]);
            }
        }

        var known = lines.Where(line => line.Count >= Fewest).OrderByDescending(line => line.Count).Take(Most);
        colors = [.. known.Select(line => line[Math.Max(Fewest - 1, line.Count / Robust)])
            .Select(color => (color, 1 / Far(color) * (color - old), Far(color)))];
    }

    /// <summary>The color of the art that a mix may be of, where that is further from the background than the mix itself; null where there is none.</summary>
    public Premultiplied? Behind(Premultiplied mix)
    {
        Premultiplied? best = null;
        double here = Far(mix), most = here * Further;
        // A channel is off by at least half of the whole distance: what lies further from a line needs no closer look.
        double widest = 2.1 * (Off + (OffShare * here));
        foreach (var (color, way, far) in colors)
        {
            double along = (mix - old).Dot(way);
            if (far > most && (here * here) - (along * along) <= widest * widest && IsOn(mix, color) && mix.Between(color, old).Share >= LeastShare)
            {
                (best, most) = (color, far);
            }
        }

        return best;
    }

    /// <summary>How much of a pixel is art, where it is a mix of the background with two colors of the art; null where it is none.</summary>
    /// <param name="seen">The pixel.</param>
    /// <param name="one">One of the two.</param>
    public double? Share(Premultiplied seen, Premultiplied one)
    {
        double? share = null;
        double least = Off;
        foreach (var (color, _, _) in colors)
        {
            var (first, second, off) = seen.Between(one, color, old);
            if (first > 0 && second > 0 && off < least)
            {
                (share, least) = (first + second, off);
            }
        }

        return share;
    }

    private bool IsOn(Premultiplied mix, Premultiplied color) =>
        mix.Between(color, old) is var fit && fit.Share <= 1.05 && fit.Off <= Off + (OffShare * Far(mix));

    private double Far(Premultiplied color) => Math.Sqrt((color - old).Dot(color - old));
}
