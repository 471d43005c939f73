namespace Recipes.Hosting.Shops;

/// <summary>How whoever waits is told that long work goes on. This one tells nobody.</summary>
public class Progress
{
    /// <summary>Nobody is told.</summary>
    public static Progress Silent { get; } = new();

    /// <summary>Does the work and says meanwhile what it is.</summary>
    /// <param name="what">What goes on, in a few words for people.</param>
    /// <param name="work">The work.</param>
    public virtual T During<T>(string what, Func<T> work)
    {
        ArgumentNullException.ThrowIfNull(work);
        return work();
    }

    /// <summary>Does the work, which counts its parts.</summary>
    /// <param name="what">What goes on, in a few words for people.</param>
    /// <param name="total">How many parts it has.</param>
    /// <param name="work">The work; it is given what it calls once a part is done, from any thread.</param>
    public virtual void Counting(string what, int total, Action<Action> work)
    {
        ArgumentNullException.ThrowIfNull(work);
        work(() => { });
    }
}
