namespace Recipes.Imaging;

public static partial class Find
{
    /// <summary>The code of a ground with straight sides that prints on cloth of another color.</summary>
    public const string PrintedRectangle = "printed-rectangle";

    // A side is straight where most of it is there; pale parts at its rim may be missing. A share; ours.
    private const double MostOfSide = 0.6;

    // Of a side that the walk went in at nearly all is another color than the paper's own; of noise between letters some is that very color. Ours.
    private const double MostOfStep = 0.9;

    // Paper within a photograph is rarer: a share. Ours.
    private const double MuchPaper = 0.25;

    // How many px the softness of a straight side may take. Ours.
    private const int SideSoftness = 2;

    /// <summary>
    /// The rectangle of a photograph on paper: what the walk over the paper left, where that fills most of at least three sides of
    /// the box around it and is of photographic texture. A side where the walk went in, or pale color goes on, is moved out to
    /// where the paper is the paper's very color. Null where there is none.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="reached">What the walk reached.</param>
    /// <param name="paper">The paper's color.</param>
    internal static Box? PhotographOn(Plane<Rgba8> art, Region reached, Rgba8 paper)
    {
        if (reached.Complement().Bounds is not { Width: > 64, Height: > 64 } box)
        {
            return null;
        }

        var outer = Sides(box, -(int)NoiseReach - 2);
        bool[] straight = [.. Sides(box, SideSoftness).Select(side => side.Count(at => !reached.Contains(at.X, at.Y)) >= MostOfSide * side.Length)];
        bool[] whole = [.. Sides(box, SideSoftness).Select((side, which) => straight[which] || IsStep(side, outer[which]))];
        if (whole.Count(isWhole => isWhole) < 3 || !IsPhotographic(art, box, reached, paper))
        {
            return null;
        }

        int top = Further(straight[0], box.Y, box.Width, (step, along) => art[box.X + along, box.Y - 1 - step]);
        int bottom = Further(straight[2], art.Height - box.Bottom, box.Width, (step, along) => art[box.X + along, box.Bottom + step]);
        var (y, down) = (box.Y - top, box.Height + top + bottom);
        int left = Further(straight[3], box.X, down, (step, along) => art[box.X - 1 - step, y + along]);
        int right = Further(straight[1], art.Width - box.Right, down, (step, along) => art[box.Right + step, y + along]);
        return new Box(box.X - left, y, box.Width + left + right, down);

        // A sky that is nearly the paper's color, which the walk went into, ends where the paper's very color begins.
        bool IsStep((int X, int Y)[] side, (int X, int Y)[] beyond) =>
            beyond.All(at => at.X >= 0 && at.Y >= 0 && at.X < art.Width && at.Y < art.Height)
            && side.Count(at => art[at.X, at.Y] != paper) >= MostOfStep * side.Length
            && beyond.Count(at => art[at.X, at.Y] == paper) >= MostOfSide * beyond.Length;

        // How many lines beyond a side hold more than stray pixels that aren't the paper's very color. Beyond a straight one noise does, as
        // far as it reaches.
        int Further(bool isStraight, int room, int length, Func<int, int, Rgba8> at)
        {
            int steps = 0;
            while (steps < room && Enumerable.Range(0, length).Count(along => at(steps, along) != paper) * 2 > length)
            {
                steps++;
            }

            return isStraight && steps <= NoiseReach ? 0 : steps;
        }
    }

    // The four sides of a box from the top around, so many px inside of it.
    private static (int X, int Y)[][] Sides(Box box, int inside)
    {
        var inner = box.Grow(-inside);
        var across = Enumerable.Range(inner.X, inner.Width);
        var down = Enumerable.Range(inner.Y, inner.Height);
        return
        [
            [.. across.Select(x => (x, inner.Y))], [.. down.Select(y => (inner.Right - 1, y))],
            [.. across.Select(x => (x, inner.Bottom - 1))], [.. down.Select(y => (inner.X, y))],
        ];
    }

    // Hardly a pixel of a photograph is its neighbor's very color; of drawing most are, but for what compression and resampling left of it. Looked at
    // in a raster of at most 96 x 96 places.
    private static bool IsPhotographic(Plane<Rgba8> art, Box box, Region reached, Rgba8 paper)
    {
        const int Raster = 96;
        int seen = 0, same = 0, across = Math.Max(1, box.Width / Raster), down = Math.Max(1, box.Height / Raster);
        var all = new List<Rgba8>();
        for (int y = box.Y; y < box.Bottom - 1; y += down)
        {
            for (int x = box.X; x < box.Right - 1; x += across)
            {
                var pixel = art[x, y];
                all.Add(pixel);
                if (!reached.Contains(x, y))
                {
                    seen++;
                    same += pixel == art[x + 1, y] && pixel == art[x, y + 1] ? 1 : 0;
                }
            }
        }

        return seen > 0 && same * 4 < seen && !IsOneColor(all, paper);
    }

    // A drawing in one color with paper in it, as a machine-readable code is, has noise enough to look like a photograph.
    private static bool IsOneColor(List<Rgba8> pixels, Rgba8 paper)
    {
        Rgba8[] drawn = [.. pixels.Where(pixel => pixel.LargestDifference(paper) > OneColor)];
        if (drawn.Length == 0 || pixels.Count - drawn.Length < MuchPaper * pixels.Count)
        {
            return false;
        }

        var color = new Rgba8(Median(pixel => pixel.R), Median(pixel => pixel.G), Median(pixel => pixel.B));
        return drawn.Count(pixel => pixel.LargestDifference(color) <= OneColor) >= MostlyOne * drawn.Length;

        byte Median(Func<Rgba8, byte> channel) => drawn.Select(channel).Order().ElementAt(drawn.Length / 2);
    }
}
