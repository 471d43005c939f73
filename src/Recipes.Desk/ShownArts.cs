using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>
/// What is shown and may be asked for again, by token: as much as a quarter of the machine's memory holds, and at least the last few. What wasn't asked for
/// the longest is forgotten first; the page then opens its art again.
/// </summary>
internal sealed class ShownArts(long most)
{
    private const int Least = 4;

    private readonly Lock gate = new();
    private readonly LinkedList<IShown> byUse = [];
    private readonly Dictionary<string, LinkedListNode<IShown>> byToken = [];
    private long held;
    private int last;

    /// <summary>For this machine.</summary>
    public ShownArts()
        : this(GC.GetGCMemoryInfo().TotalAvailableMemoryBytes / 4)
    {
    }

    /// <summary>A token that nothing had before.</summary>
    public string NewToken() => $"{Interlocked.Increment(ref last)}";

    /// <summary>Remembers it.</summary>
    public T Add<T>(T shown)
        where T : IShown
    {
        lock (gate)
        {
            byToken[shown.Token] = byUse.AddLast(shown);
            held += shown.Pictures.Bytes;
            while (held > most && byUse.Count > Least)
            {
                var oldest = byUse.First!.Value;
                byUse.RemoveFirst();
                byToken.Remove(oldest.Token);
                held -= oldest.Pictures.Bytes;
            }
        }

        return shown;
    }

    /// <summary>What a token stands for.</summary>
    /// <exception cref="ProblemException">R6402: it was forgotten, or there never was such a token.</exception>
    public T Find<T>(string? token)
        where T : class, IShown
    {
        lock (gate)
        {
            if (token is not null && byToken.TryGetValue(token, out var node) && node.Value is T shown)
            {
                byUse.Remove(node);
                byUse.AddLast(node);
                return shown;
            }
        }

        throw new ProblemException(Codes.DeskForgot, "What the page shows is no longer held in memory.", "Open the art again; nothing that was kept is lost.");
    }
}
