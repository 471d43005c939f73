namespace Recipes.Imaging;

/// <summary>Tells dirt from patterns and from parts of something larger. The numbers are ours; no source.</summary>
/// <param name="parts">All that is below the area.</param>
/// <param name="areaPx">The area in px2.</param>
/// <param name="artPx">The whole art in px2.</param>
/// <param name="larger">Gives all that isn't below the area.</param>
internal sealed class SmallPartPattern(SmallPart[] parts, double areaPx, double artPx, Func<List<SmallPart>> larger)
{
    // So many lone ones at most are dirt wherever they lie, and so many are none too many for a small art. Of those that hang
    // together or lie within Wide of one, more than so many are a pattern.
    private const int Few = 40, AnyArt = 12, Together = 12, Dense = 8;

    // In sides of a square of the area: about 5 mm for 0.06 mm2. Beyond it two dots have nothing to do with each other.
    private const double Wide = 20;

    // A dot of a raster may be larger than a speck where the tone is darker; in areas.
    internal const double LargestDot = 25;

    // A strewn dot that is no speck is hardly larger; in areas.
    private const double Hardly = 4;

    // Where there are more, rasters aren't told from other patterns; and of still more, nobody asks what hangs together.
    private const int Many = 10_000;
    internal const int Countless = 50_000;

    private readonly SmallPartKind[] kinds = [.. parts.Select(part => part.NearLarge ? SmallPartKind.Art : SmallPartKind.Dirt)];

    // What is hardly seen is no pattern by itself.
    private readonly int[] seen = [.. Enumerable.Range(0, parts.Length).Where(i => !parts[i].Faint)];

    // How many are near nothing larger, alone or together.
    private int loose;

    private readonly double near = Math.Round(SmallPart.Near * Math.Sqrt(areaPx), 6), wide = Math.Round(Wide * Math.Sqrt(areaPx), 6);

    /// <summary>The kind of every part.</summary>
    public SmallPartKind[] Judge()
    {
        if (seen.Length > Countless)
        {
            Set(Enumerable.Range(0, parts.Length).Where(i => !parts[i].NearLarge), SmallPartKind.Pattern);
            return kinds;
        }

        Join();
        int[] dirt = [.. Enumerable.Range(0, parts.Length).Where(i => kinds[i] == SmallPartKind.Dirt)];
        if (dirt.Length is > 0 and <= Many)
        {
            var others = larger();
            FindRasters(dirt, others);
            int[] lone = Lone();
            bool many = loose > Few || (loose > AnyArt && loose * Math.PI * wide * wide > artPx) || IsDense(lone);
            Set(many ? lone : [], SmallPartKind.Pattern);
            FindGrain(others);
            Set(Lone().Where(i => IsStrewn(parts[i].Ink, others)).ToArray(), SmallPartKind.Pattern);
            Set(InRows(Lone()), SmallPartKind.Art);
        }
        else
        {
            int[] lone = Lone();
            Set(loose > Few ? lone : [], SmallPartKind.Pattern);
        }

        TakeIn();
        return kinds;
    }

    private int[] Lone() => [.. seen.Where(i => kinds[i] == SmallPartKind.Dirt)];

    private void Set(IEnumerable<int> which, SmallPartKind kind)
    {
        foreach (int i in which)
        {
            kinds[i] = kind;
        }
    }

    // What lies near each other is judged as one thing.
    private void Join()
    {
        var roots = new int[parts.Length];
        int longest = seen.Select(i => Math.Max(parts[i].Bounds.Width, parts[i].Bounds.Height)).DefaultIfEmpty(0).Max();
        var grid = new PartGrid(parts, seen, near + longest);
        foreach (int i in seen)
        {
            roots[i] = i;
            foreach (int j in grid.Around(parts[i].Bounds))
            {
                if (j < i && parts[i].Ink == parts[j].Ink && parts[i].Gap(parts[j]) <= near)
                {
                    int a = Root(roots, i), b = Root(roots, j);
                    roots[Math.Max(a, b)] = Math.Min(a, b);
                }
            }
        }

        foreach (var group in seen.GroupBy(i => Root(roots, i)))
        {
            int[] members = [.. group];
            loose += members.Any(i => parts[i].NearLarge || parts[i].Accompanied) ? 0 : members.Length;
            if (members.Length > Few)
            {
                Set(members, SmallPartKind.Pattern);
            }
            else if (members.Any(i => parts[i].NearLarge))
            {
                Set(members, SmallPartKind.Art);
            }
            else if (members.Length > Together)
            {
                Set(members, SmallPartKind.Pattern);
            }
            else if (members.Any(i => parts[i].Accompanied) || (members.Length > 1 && Math.Round(members.Sum(i => parts[i].Area), 6) >= areaPx))
            {
                Set(members, SmallPartKind.Art);
            }
        }
    }

    private static int Root(int[] roots, int i)
    {
        while (roots[i] != i)
        {
            i = roots[i] = roots[roots[i]];
        }

        return i;
    }

    // Faint dots and those beside larger ones are of the same raster; nothing but faint dots is noise.
    private void FindRasters(int[] dirt, List<SmallPart> others)
    {
        SmallPart[] dots = [.. parts, .. others.Where(other => other.Area < LargestDot * areaPx
            && other.Bounds.Width <= 2 * other.Bounds.Height && other.Bounds.Height <= 2 * other.Bounds.Width)];
        var raster = new DotRaster(dots, wide);
        int[] held = [.. dirt.Where(raster.Holds)];
        if (held.Length > 0)
        {
            var grid = new PartGrid(dots, Enumerable.Range(0, dots.Length).Where(i => !dots[i].Faint && raster.Holds(i)), wide);
            Set(held.Where(i => !dots[i].Faint || grid.Around(dots[i].Bounds).Any(j => dots[j].Ink == dots[i].Ink && dots[i].Apart(dots[j]) <= wide)).ToArray(),
                SmallPartKind.Pattern);
        }
    }

    private bool IsDense(int[] lone)
    {
        if (lone.Length <= Dense)
        {
            return false;
        }

        var grid = new PartGrid(parts, lone, wide);
        return lone.Any(i => grid.Around(parts[i].Bounds).Count(j => parts[i].Apart(parts[j]) <= wide) > Dense);
    }

    // Grain has dots of all sizes, and a third and more of them are small; lettering has fewer small ones for its letters.
    private void FindGrain(List<SmallPart> others)
    {
        var grid = new PartGrid(parts, seen, wide);
        Set(Lone().Where(i => IsGrain(parts[i])).ToArray(), SmallPartKind.Pattern);

        bool IsGrain(SmallPart part)
        {
            int small = grid.Around(part.Bounds).Count(j => parts[j].Ink == part.Ink && part.Apart(parts[j]) <= wide);
            return small > Dense && 2 * small > others.Count(other => other.Ink == part.Ink && part.Gap(other) <= wide);
        }
    }

    // The whole art may be thinly strewn: a quarter and more of all that there is are small, and as many hardly larger. Dust on a
    // drawing has few of those, and lettering is no quarter dots.
    private bool IsStrewn(bool ink, List<SmallPart> others)
    {
        int small = seen.Count(j => parts[j].Ink == ink), large = others.Count(other => other.Ink == ink);
        return small > AnyArt && 3 * small > large && others.Count(other => other.Ink == ink && other.Area < Hardly * areaPx) >= small;
    }

    // Three dots alike at even distances in a row are drawn, as an ellipsis is.
    private int[] InRows(int[] lone)
    {
        double longest = 2 * near;
        var grid = new PartGrid(parts, seen, longest);
        return [.. lone.Where(i =>
            Alike(i).Any(j => Alike(j).Any(k => k != i && (parts[i].IsMidway(parts[j], parts[k]) || parts[j].IsMidway(parts[i], parts[k])))
            || Alike(i).Any(k => k != j && parts[i].IsMidway(parts[j], parts[k]))))];

        IEnumerable<int> Alike(int i) => grid.Around(parts[i].Bounds)
            .Where(j => j != i && parts[j].Ink == parts[i].Ink && parts[i].IsAlike(parts[j], 2) && parts[i].Apart(parts[j]) <= longest);
    }

    // What lies at a pattern, faint or not, fades out of it.
    private void TakeIn()
    {
        int[] pattern = [.. seen.Where(i => kinds[i] == SmallPartKind.Pattern)];
        if (pattern.Length == 0)
        {
            return;
        }

        var grid = new PartGrid(parts, pattern, wide);
        Set(Enumerable.Range(0, parts.Length).Where(i => kinds[i] == SmallPartKind.Dirt
            && grid.Around(parts[i].Bounds).Any(j => parts[j].Ink == parts[i].Ink && parts[i].Apart(parts[j]) <= wide)).ToArray(), SmallPartKind.Pattern);
    }
}
