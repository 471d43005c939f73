namespace Recipes.Imaging.Pictures;

/// <summary>Things at places of a picture, sorted into the tiles that they reach, so that a look at one place stays short.</summary>
internal sealed class Bins<T>(TileGrid grid)
{
    private static readonly List<T> Nothing = [];
    private readonly List<T>?[] bins = new List<T>?[grid.Count];

    public List<T> this[int tile] => bins[tile] ?? Nothing;

    public void Add(Box reach, T item)
    {
        foreach (int tile in Reached(reach))
        {
            (bins[tile] ??= []).Add(item);
        }
    }

    /// <summary>Adds what reaches into several boxes; a tile that several of them reach has it once.</summary>
    public void Add(IEnumerable<Box> reaches, T item)
    {
        var reached = new HashSet<int>();
        foreach (var reach in reaches)
        {
            foreach (int tile in Reached(reach))
            {
                if (reached.Add(tile))
                {
                    (bins[tile] ??= []).Add(item);
                }
            }
        }
    }

    /// <summary>What may lie in a box; something in two tiles comes twice.</summary>
    public IEnumerable<T> Near(Box box)
    {
        foreach (int tile in Reached(box))
        {
            foreach (var item in this[tile])
            {
                yield return item;
            }
        }
    }

    private int[] Reached(Box reach)
    {
        var part = reach.Within(new Box(0, 0, grid.Width, grid.Height));
        if (part.IsEmpty)
        {
            return [];
        }

        int left = part.X / TileGrid.Side, top = part.Y / TileGrid.Side;
        int across = ((part.Right - 1) / TileGrid.Side) - left + 1, down = ((part.Bottom - 1) / TileGrid.Side) - top + 1;
        var tiles = new int[across * down];
        for (int i = 0; i < tiles.Length; i++)
        {
            tiles[i] = ((top + (i / across)) * grid.Columns) + left + (i % across);
        }

        return tiles;
    }
}
