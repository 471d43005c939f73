using System.Diagnostics;
using System.Text.Json.Nodes;

namespace Recipes.Cli;

/// <summary>How long each phase of a command took, in the order in which they began.</summary>
internal sealed class Timings
{
    private readonly List<Phase> phases = [];

    public T Measure<T>(string phase, Func<T> work)
    {
        long start = Stopwatch.GetTimestamp();
        T result = work();
        lock (phases)
        {
            phases.Add(new Phase(phase, Stopwatch.GetElapsedTime(start).TotalMilliseconds));
        }

        return result;
    }

    public void Measure(string phase, Action work) => Measure(phase, () =>
    {
        work();
        return true;
    });

    /// <summary>Adds another's phases; files that run side by side add up.</summary>
    public void Add(Timings other)
    {
        lock (phases)
        {
            phases.AddRange(other.phases);
        }
    }

    public JsonObject ToJson()
    {
        var json = new JsonObject();
        foreach (var phase in Sums())
        {
            json[phase.Name] = Math.Round(phase.Milliseconds, 1);
        }

        return json;
    }

    public void Write(TextWriter text)
    {
        foreach (var phase in Sums())
        {
            text.WriteLine(FormattableString.Invariant($"  {phase.Name,-10} {phase.Milliseconds,8:0.0} ms"));
        }
    }

    private IEnumerable<Phase> Sums() => phases.GroupBy(phase => phase.Name, (name, times) => new Phase(name, times.Sum(phase => phase.Milliseconds)));

    private sealed record Phase(string Name, double Milliseconds);
}
