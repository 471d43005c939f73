namespace Recipes.Imaging;

/// <summary>What the edge of a dark shape is like at one place.</summary>
internal enum BlackEdge
{
    /// <summary>A step, as a pen, a font or a knife makes it.</summary>
    Crisp,

    /// <summary>Neither; texture or noise.</summary>
    Vague,

    /// <summary>A slow rise that goes on: a fade, a glow, a soft shadow.</summary>
    Slow,
}

/// <summary>Judges the edges of dark shapes by how fast the art gets lighter across them.</summary>
/// <remarks>
/// Outward of an edge the levels either rise by <see cref="Step"/> within <see cref="Reach"/> px, which also an edge does that was
/// enlarged twice, or rise at all and have then reached what they stay at. A gradient rises slower and goes on. Lengths are ours.
/// </remarks>
internal readonly struct BlackEdges(DarkPixels dark)
{
    private const int Step = 72, Least = 14, Inward = 2, Reach = 6, Far = 12, Rim = 10;

    /// <summary>The edge between a pixel of a shape and its neighbor in a direction, which isn't in the shape.</summary>
    public BlackEdge At(int x, int y, int dx, int dy)
    {
        var levels = dark.Levels;
        int at = (y * dark.Width) + x, step = (dy * dark.Width) + dx, foot = levels[at];
        for (int i = 1, inside = Math.Min(Inward, Room(x, y, -dx, -dy)); i <= inside; i++)
        {
            foot = Math.Min(foot, levels[at - (i * step)]);
        }

        int room = Room(x, y, dx, dy);
        if (IsStep(at, step, room, foot))
        {
            return BlackEdge.Crisp;
        }

        // Over the color that a JPEG smeared into the shape, to where that ends.
        int rim = 0;
        while (rim < Math.Min(Rim, room) && dark.Kinds[at + ((rim + 1) * step)] == Dark.Tinted)
        {
            rim++;
        }

        if (rim is > 0 and < Rim && IsStep(at + (rim * step), step, room - rim, levels[at + (rim * step)]))
        {
            return BlackEdge.Crisp;
        }

        return rim is 0 or Rim && room >= Far && levels[at + (Reach * step)] is var middle && middle >= foot + 2
            && levels[at + (Far * step)] >= Math.Max(middle + 2, foot + 8)
            ? BlackEdge.Slow : BlackEdge.Vague;
    }

    // How many px there are from a place to the picture's edge.
    private int Room(int x, int y, int dx, int dy) => (dx, dy) switch
    {
        (< 0, _) => x,
        (> 0, _) => dark.Width - 1 - x,
        (_, < 0) => y,
        _ => dark.Height - 1 - y,
    };

    private bool IsStep(int at, int step, int room, int foot)
    {
        int near = 0, far = 0;
        for (int i = 1; i <= Math.Min(Far, room); i++)
        {
            far = Math.Max(far, dark.Levels[at + (i * step)]);
            near = i <= Reach ? far : near;
            if (near - foot >= Step)
            {
                return true;
            }
        }

        // Half as much again at twice the reach is what the noise of a level place makes; a gradient gets nearly twice as far.
        return near - foot >= Least && (far - foot) * 2 <= ((near - foot) * 3) + 8;
    }
}
