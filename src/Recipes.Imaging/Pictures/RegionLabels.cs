using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging.Pictures;

/// <summary>A number in a difference picture, or one label for regions too close together for a number each.</summary>
/// <param name="Members">The regions, as they were given.</param>
/// <param name="Text">What it says.</param>
/// <param name="Scale">Px of a dot of its letters.</param>
/// <param name="Plate">Where it stands.</param>
/// <param name="Frame">The frame around the regions; null where an outline surrounds the region anyway.</param>
/// <param name="Leader">The line that leads from the frame to a plate further away.</param>
/// <param name="OverMarks">True where the plate lies in the middle of changed pixels and is drawn over them.</param>
/// <param name="IsClear">True where it covers no other label, no small region and no lone changed pixel.</param>
internal sealed record RegionLabel(
    ImmutableArray<NumberedBox> Members, string Text, int Scale, Box Plate, Box? Frame, (int FromX, int FromY, int ToX, int ToY)? Leader,
    bool OverMarks, bool IsClear)
{
    /// <summary>How thick a frame is, px.</summary>
    public const int FrameThickness = 2;

    /// <summary>True where the recipe changes its regions.</summary>
    public bool Chosen => Members[0].Chosen;

    /// <summary>What it draws on: plate, line, and the four sides of the frame.
    /// What the frame surrounds, which may be all of the art, is no part of it.</summary>
    public IEnumerable<Box> Reach()
    {
        yield return Plate;
        if (Leader is { } line)
        {
            yield return new Box(Math.Min(line.FromX, line.ToX), Math.Min(line.FromY, line.ToY),
                Math.Abs(line.FromX - line.ToX) + 1, Math.Abs(line.FromY - line.ToY) + 1);
        }

        if (Frame is { } box)
        {
            yield return box with { Height = FrameThickness };
            yield return box with { Y = box.Bottom - FrameThickness, Height = FrameThickness };
            yield return box with { Width = FrameThickness };
            yield return box with { X = box.Right - FrameThickness, Width = FrameThickness };
        }
    }
}

/// <summary>
/// Finds a place for the number of every region. A label makes way for the regions, for changed pixels and for other labels: it goes
/// beside its region, then further off with a line, then in smaller digits; where there is no room, regions that lie close together
/// share one label.
/// </summary>
internal static class RegionLabels
{
    // Px from a region to its frame, and what an outline of a small change takes.
    private const int FrameGap = 4;

    // Regions smaller than this whose frames touch share a label where there are more of them than these.
    private const int Small = 24, Crowd = 6;

    // Where a label has no room, regions nearer than this to its own share a label with it; no shared frame is wider or higher than the widest.
    private const int Neighbors = 24, Widest = 320;

    // Each time around, regions without room join their neighbors; what is left then lies over something.
    private const int Rounds = 4;

    // Up to three numbers are named one by one.
    private const int Named = 3;

    // How far off a label may stand, px; from the third on a line leads there.
    private static readonly int[] Near = [2, 6, 12, 20], Far = [30, 42, 56];

    /// <summary>Places a label for each region, or for several; the same regions and changes give the same places.</summary>
    /// <param name="regions">The regions.</param>
    /// <param name="map">What changed; no plate lies on a lone changed pixel where there is another place.</param>
    /// <param name="art">The size of the art.</param>
    /// <param name="outline">The outline that surrounds a small region anyway, or null.</param>
    public static List<RegionLabel> Place(IReadOnlyList<NumberedBox> regions, ChangeMap map, Box art, Func<Box, Box?> outline)
    {
        var groups = Crowds([.. regions.Select(region => new Group([region], region.Box, outline(region.Box)))], art);
        for (int round = 1; ; round++)
        {
            var labels = PlaceAll(groups, map, art);
            var stuck = groups.Where((_, i) => !labels[i].IsClear).ToList();
            if (stuck.Count == 0 || round == Rounds || !Join(groups, stuck, art))
            {
                return labels;
            }
        }
    }

    // Many small regions whose frames touch share a label from the start, so that the labels of their neighbors find room.
    private static List<Group> Crowds(List<Group> singles, Box art)
    {
        var small = new Bins<int>(new TileGrid(art.Width, art.Height));
        var parent = Enumerable.Range(0, singles.Count).ToArray();
        for (int i = 0; i < singles.Count; i++)
        {
            var one = singles[i];
            if (one.Box.Width >= Small || one.Box.Height >= Small)
            {
                continue;
            }

            foreach (int other in small.Near(one.Taken))
            {
                if (singles[other].Chosen == one.Chosen && !singles[other].Taken.Within(one.Taken).IsEmpty)
                {
                    parent[Root(parent, i)] = Root(parent, other);
                }
            }

            small.Add(one.Taken, i);
        }

        var crowds = new List<Group>[singles.Count];
        var first = new List<List<Group>>();
        for (int i = 0; i < singles.Count; i++)
        {
            ref var crowd = ref crowds[Root(parent, i)];
            if (crowd is null)
            {
                first.Add(crowd = []);
            }

            crowd.Add(singles[i]);
        }

        var groups = new List<Group>();
        foreach (var all in first)
        {
            if (all.Count > Crowd)
            {
                Split([.. all.SelectMany(one => one.Members)], groups);
            }
            else
            {
                groups.AddRange(all);
            }
        }

        return groups;
    }

    private static int Root(int[] parent, int i)
    {
        while (parent[i] != i)
        {
            i = parent[i] = parent[parent[i]];
        }

        return i;
    }

    // Halved along the longer side until each part is small enough to find a region in.
    private static void Split(ImmutableArray<NumberedBox> members, List<Group> groups)
    {
        var box = Around(members);
        if (members.Length == 1 || (box.Width <= Widest && box.Height <= Widest))
        {
            groups.Add(new Group(members, box, null));
            return;
        }

        bool across = box.Width >= box.Height;
        var sorted = members.Sort((a, b) => Middle(a).CompareTo(Middle(b)) is var order and not 0 ? order : a.Number.CompareTo(b.Number));
        int half = across ? box.X + (box.Width / 2) : box.Y + (box.Height / 2);
        int cut = Math.Clamp(sorted.Count(member => Middle(member) / 2 < half), 1, sorted.Length - 1);
        Split(sorted[..cut], groups);
        Split(sorted[cut..], groups);

        int Middle(NumberedBox member) => across ? (2 * member.Box.X) + member.Box.Width : (2 * member.Box.Y) + member.Box.Height;
    }

    // A group without room and its neighbors become one. False where none has any.
    private static bool Join(List<Group> groups, List<Group> stuck, Box art)
    {
        var places = new Bins<Group>(new TileGrid(art.Width, art.Height));
        var into = new Dictionary<Group, Group>(ReferenceEqualityComparer.Instance);
        foreach (var group in groups.Where(CanJoin))
        {
            places.Add(group.Box, group);
        }

        foreach (var start in stuck.Where(CanJoin))
        {
            var group = Now(start);
            foreach (var near in places.Near(start.Box.Grow(Neighbors)))
            {
                if (near.Box.Within(start.Box.Grow(Neighbors)).IsEmpty || (Now(near) is var other && ReferenceEquals(group, other)))
                {
                    continue;
                }

                var box = group.Box.Around(other.Box);
                if (other.Chosen == group.Chosen && box.Width <= Widest && box.Height <= Widest)
                {
                    var joined = new Group([.. group.Members, .. other.Members], box, null);
                    into[group] = into[other] = joined;
                    group = joined;
                }
            }
        }

        if (into.Count == 0)
        {
            return false;
        }

        List<Group> all = [.. groups.Select(Now).Distinct<Group>(ReferenceEqualityComparer.Instance)];
        groups.Clear();
        groups.AddRange(all);
        return true;

        static bool CanJoin(Group group) => !group.IsRoomy && group.Box.Width <= Widest && group.Box.Height <= Widest;

        Group Now(Group group)
        {
            var last = group;
            while (into.TryGetValue(last, out var joined))
            {
                last = joined;
            }

            // All on the way lead there at once from now on, or thousands in one place would be walked for each of them.
            while (!ReferenceEquals(group, last))
            {
                var next = into[group];
                into[group] = last;
                group = next;
            }

            return last;
        }
    }

    private static List<RegionLabel> PlaceAll(List<Group> groups, ChangeMap map, Box art)
    {
        var taken = new Covered(art);
        foreach (var group in groups.Where(group => !group.IsRoomy))
        {
            taken.Add(group.Taken);
        }

        var labels = new RegionLabel[groups.Count];
        // Those that have room inside take nobody's; shared labels stand for most.
        for (int turn = 0; turn < 3; turn++)
        {
            for (int i = 0; i < labels.Length; i++)
            {
                var group = groups[i];
                if ((group.IsRoomy ? 0 : group.Members.Length > 1 ? 1 : 2) != turn)
                {
                    continue;
                }

                labels[i] = Best(group, map, art, taken);
                taken.Add(labels[i].Plate);
                foreach (var piece in Pieces(labels[i].Leader))
                {
                    taken.Add(piece);
                }
            }
        }

        return [.. labels];
    }

    private static RegionLabel Best(Group group, ChangeMap map, Box art, Covered taken)
    {
        string text = Words(group.Members);
        RegionLabel? first = null;
        foreach (var (scale, plate) in Candidates(group, text))
        {
            if (plate.Within(art) != plate)
            {
                continue;
            }

            bool free = !taken.Touches(plate);
            if (!free && first is not null)
            {
                continue;
            }

            int changed = map.CountIn(plate);
            bool solid = changed * 2 >= plate.Width * plate.Height;
            var leader = Line(group.Around, plate);
            bool clear = free && (changed == 0 || solid) && Pieces(leader).All(piece => group.Taken.Within(piece) == piece || !taken.Touches(piece));
            var label = new RegionLabel(group.Members, text, scale, plate, group.Frame, leader, solid, clear);
            if (clear)
            {
                return label;
            }

            // The first place in the art has to do where no better one is found.
            first ??= label;
        }

        var (width, height) = SizeOf(text, 1);
        var held = new Box(Math.Clamp(group.Box.X, 0, Math.Max(0, art.Width - width)),
            Math.Clamp(group.Box.Y, 0, Math.Max(0, art.Height - height)), width, height);
        return first ?? new RegionLabel(group.Members, text, 1, held, group.Frame, null, false, false);
    }

    // Inside a region that has room; else beside it, near in large digits, near in small ones, then further off.
    private static IEnumerable<(int Scale, Box Plate)> Candidates(Group group, string text)
    {
        var (width, height) = SizeOf(text, 2);
        if (group.IsRoomy)
        {
            var box = group.Box;
            int left = box.X + FrameGap, middle = box.X + ((box.Width - width) / 2), right = box.Right - FrameGap - width;
            int top = box.Y + FrameGap, center = box.Y + ((box.Height - height) / 2), bottom = box.Bottom - FrameGap - height;
            foreach (var (x, y) in ((int, int)[])[(middle, center), (left, top), (right, top), (left, bottom), (right, bottom),
                (middle, top), (middle, bottom), (left, center), (right, center)])
            {
                yield return (2, new Box(x, y, width, height));
            }
        }

        foreach (var (scale, distances) in ((int, int[])[])[(2, Near), (1, Near), (2, Far), (1, Far)])
        {
            var (w, h) = SizeOf(text, scale);
            foreach (int away in distances)
            {
                foreach (var plate in Beside(group.Around, away, w, h))
                {
                    yield return (scale, plate);
                }
            }
        }
    }

    private static IEnumerable<Box> Beside(Box around, int away, int width, int height)
    {
        int left = around.X - away - width, right = around.Right + away, above = around.Y - away - height, below = around.Bottom + away;
        int middle = around.X + ((around.Width - width) / 2), center = around.Y + ((around.Height - height) / 2);
        int endX = around.Right - width, endY = around.Bottom - height;
        yield return new Box(right, around.Y, width, height);
        yield return new Box(left, around.Y, width, height);
        yield return new Box(around.X, below, width, height);
        yield return new Box(around.X, above, width, height);
        yield return new Box(right, center, width, height);
        yield return new Box(left, center, width, height);
        yield return new Box(middle, below, width, height);
        yield return new Box(middle, above, width, height);
        yield return new Box(right, endY, width, height);
        yield return new Box(left, endY, width, height);
        yield return new Box(endX, below, width, height);
        yield return new Box(endX, above, width, height);
        yield return new Box(right, below, width, height);
        yield return new Box(right, above, width, height);
        yield return new Box(left, below, width, height);
        yield return new Box(left, above, width, height);
    }

    // From frame to plate where they are too far apart to be seen as one; across where they face each other, else from corner to corner.
    private static (int FromX, int FromY, int ToX, int ToY)? Line(Box around, Box plate)
    {
        var (fromX, toX) = Nearest(around.X, around.Right, plate.X, plate.Right);
        var (fromY, toY) = Nearest(around.Y, around.Bottom, plate.Y, plate.Bottom);
        return Math.Max(Math.Abs(fromX - toX), Math.Abs(fromY - toY)) > Near[1] + 1 ? (fromX, fromY, toX, toY) : null;

        static (int From, int To) Nearest(int start, int end, int otherStart, int otherEnd)
        {
            int shared = (Math.Max(start, otherStart) + Math.Min(end, otherEnd) - 1) / 2;
            return otherStart >= end ? (end - 1, otherStart) : start >= otherEnd ? (start, otherEnd - 1) : (shared, shared);
        }
    }

    // What a line takes of the picture, in boxes of 3 px; both ends are left out, since they touch what they join.
    private static IEnumerable<Box> Pieces((int FromX, int FromY, int ToX, int ToY)? leader)
    {
        if (leader is { } line)
        {
            int steps = Math.Max(Math.Abs(line.ToX - line.FromX), Math.Abs(line.ToY - line.FromY));
            for (int i = 3; i < steps - 2; i += 3)
            {
                yield return new Box(line.FromX + ((line.ToX - line.FromX) * i / steps) - 1, line.FromY + ((line.ToY - line.FromY) * i / steps) - 1, 3, 3);
            }
        }
    }

    // "7"; "7,9"; "7-19" where all of these numbers are meant; else how many there are and from where to where.
    private static string Words(ImmutableArray<NumberedBox> members)
    {
        int[] numbers = [.. members.Select(member => member.Number).Order()];
        string text = numbers.Length <= Named ? string.Join(',', numbers.Select(Number))
            : numbers[^1] - numbers[0] == numbers.Length - 1 ? $"{Number(numbers[0])}-{Number(numbers[^1])}"
            : $"{Number(numbers.Length)} of {Number(numbers[0])}-{Number(numbers[^1])}";
        return members[0].Chosen ? text : $"({text})";

        static string Number(int number) => number.ToString(CultureInfo.InvariantCulture);
    }

    /// <summary>Free px around a plate's text.</summary>
    public static int Padding(int scale) => scale + 1;

    private static (int Width, int Height) SizeOf(string text, int scale) =>
        (Lettering.WidthOf(text, scale) + (2 * Padding(scale)), (Lettering.CapitalHeight * scale) + (2 * Padding(scale)));

    private static Box Around(IEnumerable<NumberedBox> members) => members.Aggregate(default(Box), (box, member) => box.Around(member.Box));

    // A bit for each pixel that something lies on: however much lies there, a look takes a few words.
    private sealed class Covered(Box art)
    {
        private readonly int columns = (art.Width + 63) / 64;
        private readonly ulong[] bits = new ulong[(art.Width + 63) / 64 * art.Height];

        public void Add(Box box)
        {
            var part = box.Within(art);
            for (int y = part.Y; y < part.Bottom && part.Width > 0; y++)
            {
                for (int column = part.X / 64; column * 64 < part.Right; column++)
                {
                    bits[(y * columns) + column] |= Bits(part, column);
                }
            }
        }

        public bool Touches(Box box)
        {
            var part = box.Within(art);
            for (int y = part.Y; y < part.Bottom && part.Width > 0; y++)
            {
                for (int column = part.X / 64; column * 64 < part.Right; column++)
                {
                    if ((bits[(y * columns) + column] & Bits(part, column)) != 0)
                    {
                        return true;
                    }
                }
            }

            return false;
        }

        private static ulong Bits(Box part, int column) =>
            (ulong.MaxValue << Math.Max(0, part.X - (column * 64))) & (ulong.MaxValue >> Math.Max(0, ((column + 1) * 64) - part.Right));
    }

    // Regions that share a label; one, mostly.
    private sealed record Group(ImmutableArray<NumberedBox> Members, Box Box, Box? Outline)
    {
        public bool Chosen => Members[0].Chosen;

        // Where a label fits inside, it covers nothing else there that matters.
        public bool IsRoomy { get; } = Members.Length == 1 && SizeOf(Words(Members), 2) is var (width, height)
            && Box.Width >= width * 2 && Box.Height >= height * 2;

        public Box? Frame => Outline is null ? Box.Grow(FrameGap) : null;

        public Box Around => Outline ?? Box.Grow(FrameGap);

        // No label comes nearer than this.
        public Box Taken => Around.Grow(1);
    }
}
