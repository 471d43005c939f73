using System.Diagnostics;
using System.Text.Json.Nodes;

namespace Recipes.Cli;

/// <summary>How long each phase of a command took, in the order in which they began.</summary>
internal sealed class Timings
{
    private readonly List<(string Phase, TimeSpan Time)> phases = [];

    public T Measure<T>(string phase, Func<T> work)
    {
        long start = Stopwatch.GetTimestamp();
        T result = work();
        lock (phases)
        {
            phases.Add((phase, Stopwatch.GetElapsedTime(start)));
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

    public JsonObject ToJson() => new(phases.GroupBy(phase => phase.Phase)
        .Select(group => KeyValuePair.Create(group.Key, (JsonNode?)Math.Round(group.Sum(phase => phase.Time.TotalMilliseconds), 1))));

    public void Write(TextWriter text)
    {
        foreach (var group in phases.GroupBy(phase => phase.Phase))
        {
            text.WriteLine(FormattableString.Invariant($"  {group.Key,-10} {group.Sum(phase => phase.Time.TotalMilliseconds),8:0.0} ms"));
        }
    }
}
