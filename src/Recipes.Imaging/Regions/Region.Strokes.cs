namespace Recipes.Imaging;

public sealed partial class Region
{
    /// <summary>
    /// A choke that erases no stroke. What is too thin for it, or lies too far from what it leaves to be a corner of that,
    /// is choked by half the length, by a quarter, and so on; at less than 1 px it stays whole. Every part of the region
    /// keeps something. For a hard region: coverage 0 or 255.
    /// </summary>
    /// <remarks>
    /// A corner is what n steps of a 3x3 square inside the region reach from what a choke left, n being the length in px rounded
    /// up, plus one. A stroke is the rest; it reaches back over the corner, so that no gap opens at its root.
    /// </remarks>
    /// <param name="px">Length in px, 0 or more; below 1 nothing changes.</param>
    /// <exception cref="ArgumentOutOfRangeException">The length is negative or not a number.</exception>
    public Region ChokeKeepingStrokes(double px)
    {
        var kept = Choke(px);
        for (double length = px; length >= 1 && kept.Count < Count; length /= 2)
        {
            int steps = (int)Math.Ceiling(Math.Round(length, 6)) + 1;
            var strokes = Except(kept.GrownInside(this, steps));
            if (strokes.IsEmpty)
            {
                break;
            }

            kept = kept.Union(Choke(length / 2).Intersect(strokes.GrownInside(this, steps)));
        }

        return kept;
    }

    // So many steps of a 3x3 square, each kept inside a region.
    private Region GrownInside(Region inside, int steps)
    {
        int width = Coverage.Width, height = Coverage.Height;
        byte[] reached = Coverage.ToContiguous(), room = inside.Coverage.ToContiguous();
        var front = new List<int>();
        for (int i = 0; i < reached.Length; i++)
        {
            if (reached[i] != 0 && TouchesRoom(i))
            {
                front.Add(i);
            }
        }

        for (int step = 0; step < steps && front.Count > 0; step++)
        {
            var next = new List<int>();
            foreach (int i in front)
            {
                int x = i % width, y = i / width;
                for (int v = Math.Max(0, y - 1); v <= Math.Min(height - 1, y + 1); v++)
                {
                    for (int u = Math.Max(0, x - 1); u <= Math.Min(width - 1, x + 1); u++)
                    {
                        int at = (v * width) + u;
                        if (reached[at] == 0 && room[at] != 0)
                        {
                            reached[at] = room[at];
                            next.Add(at);
                        }
                    }
                }
            }

            front = next;
        }

        return With(Plane<byte>.FromContiguous(width, height, reached, Coverage));

        bool TouchesRoom(int i)
        {
            int x = i % width, y = i / width;
            for (int v = Math.Max(0, y - 1); v <= Math.Min(height - 1, y + 1); v++)
            {
                for (int u = Math.Max(0, x - 1); u <= Math.Min(width - 1, x + 1); u++)
                {
                    if (reached[(v * width) + u] == 0 && room[(v * width) + u] != 0)
                    {
                        return true;
                    }
                }
            }

            return false;
        }
    }
}
