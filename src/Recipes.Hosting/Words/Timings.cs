using System.Diagnostics;
using System.Globalization;
using System.Text.Json.Nodes;

namespace Recipes.Hosting.Words;

/// <summary>How long a phase took.</summary>
public sealed record Phase(string Name, double Milliseconds);

/// <summary>How long each phase of a command took, in the order in which they began to be told.</summary>
public sealed class Timings
{
    private readonly List<Phase> phases = [];

    /// <summary>The phases.</summary>
    public IReadOnlyList<Phase> Phases
    {
        get
        {
            lock (phases)
            {
                return [.. phases];
            }
        }
    }

    /// <summary>Does a part of a phase.</summary>
    public T Measure<T>(string phase, Func<T> work)
    {
        ArgumentNullException.ThrowIfNull(work);
        long start = Stopwatch.GetTimestamp();
        T result = work();
        Add(phase, Stopwatch.GetElapsedTime(start).TotalMilliseconds);
        return result;
    }

    /// <summary>Does a part of a phase.</summary>
    public void Measure(string phase, Action work) => Measure(phase, () =>
    {
        work();
        return true;
    });

    /// <summary>Adds another's phases; files that run side by side add up.</summary>
    public void Add(Timings other)
    {
        ArgumentNullException.ThrowIfNull(other);
        foreach (var (phase, milliseconds) in other.Phases)
        {
            Add(phase, milliseconds);
        }
    }

    /// <summary>The phases as JSON, rounded to a tenth.</summary>
    public JsonObject ToJson()
    {
        var json = new JsonObject();
        foreach (var (phase, milliseconds) in Phases)
        {
            json[phase] = Math.Round(milliseconds, 1);
        }

        return json;
    }

    /// <summary>A line for each phase.</summary>
    public void Write(TextWriter text)
    {
        ArgumentNullException.ThrowIfNull(text);
        foreach (var (phase, milliseconds) in Phases)
        {
            text.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {phase,-10} {milliseconds,8:0.0} ms"));
        }
    }

    private void Add(string phase, double milliseconds)
    {
        lock (phases)
        {
            int at = phases.FindIndex(known => known.Name == phase);
            if (at < 0)
            {
                phases.Add(new Phase(phase, milliseconds));
            }
            else
            {
                phases[at] = new Phase(phase, phases[at].Milliseconds + milliseconds);
            }
        }
    }
}
