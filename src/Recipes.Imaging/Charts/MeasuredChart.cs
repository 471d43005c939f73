using System.Collections.Immutable;

namespace Recipes.Imaging.Charts;

/// <summary>A measured chart: the mean of each color's readings, the readings that stand out, and the models made of the rest.</summary>
public sealed class MeasuredChart
{
    // A reading is set aside where it stands out by more than this in CIEDE2000 and by this many times what is usual on the chart.
    // House values, no source: a misread patch is off by far more, a coarse chart's honest corners by less.
    private const double OutlyingDifference = 3;
    private const double OutlyingTimes = 6;

    private MeasuredChart(ImmutableArray<MeasuredPatch> patches, ImmutableArray<OutlyingReading> outliers,
        double? repeatScatter, SplineModel? spline, TetrahedralModel? grid, int readings)
    {
        Patches = patches;
        Outliers = outliers;
        RepeatScatter = repeatScatter;
        Spline = spline;
        Grid = grid;
        Readings = readings;
    }

    /// <summary>The printed colors with the means of their readings, in the order of the chart; outliers are left out.</summary>
    public ImmutableArray<MeasuredPatch> Patches { get; }

    /// <summary>Readings that the others contradict, worst first. They are in no mean and no model.</summary>
    public ImmutableArray<OutlyingReading> Outliers { get; }

    /// <summary>
    /// How far readings of one color scatter about their mean, CIEDE2000, corrected for the number of readings; null where
    /// no color was read twice.
    /// </summary>
    public double? RepeatScatter { get; }

    /// <summary>The spline; null where the patches are too few or too alike.</summary>
    public SplineModel? Spline { get; }

    /// <summary>The tetrahedral model; null where the patches hold no complete grid.</summary>
    public TetrahedralModel? Grid { get; }

    /// <summary>All readings, outliers included.</summary>
    public int Readings { get; }

    /// <summary>What computed colors are predicted with: the grid where it has more patches than a spline takes, else the spline.</summary>
    public IPrinterModel? Model => Grid is { Count: > SplineModel.MostPatches } ? Grid : Spline is not null ? Spline : Grid;

    /// <summary>Averages and judges the readings of a chart, at least one.</summary>
    public static MeasuredChart Of(IReadOnlyList<PatchReading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        ArgumentOutOfRangeException.ThrowIfZero(readings.Count, nameof(readings));
        var outliers = ImmutableArray.CreateBuilder<OutlyingReading>();
        var groups = readings.GroupBy(reading => reading.Color).Select(group => group.ToArray()).ToArray();
        Compare(groups, outliers);
        var patches = groups.Select(Mean).ToList();

        var spline = SplineModel.Through(Chosen(patches));
        var slack = Slack(patches);
        if (spline?.Outliers(OutlyingDifference, OutlyingTimes, slack) is { Length: > 0 } suspects
            && SplineModel.Through([.. spline.Patches.Except(suspects)]) is { } clean)
        {
            // A model that bad readings bent may accuse good ones, so each is judged again by a model without any suspect.
            foreach (var patch in suspects)
            {
                var expected = clean.Predict(patch.Color);
                double difference = Ciede2000.Difference(patch.Lab, expected);
                if (difference > OutlyingDifference * slack(patch))
                {
                    outliers.Add(new OutlyingReading(patch.Label, patch.Color, patch.Lab, expected, difference));
                    patches.Remove(patch);
                }
            }

            spline = SplineModel.Through(Chosen(patches));
        }

        return new MeasuredChart(
            [.. patches], outliers.ToImmutable(), Scatter(groups), spline, TetrahedralModel.Of(patches), readings.Count);
    }

    /// <summary>The printed patch nearest to a color under D50, and its CIEDE2000; the first of equals.</summary>
    public (MeasuredPatch Patch, double Difference) Nearest(Lab target)
    {
        var nearest = Patches.MinBy(patch => Math.Round(Ciede2000.Difference(patch.Lab, target), 6))!;
        return (nearest, Ciede2000.Difference(nearest.Lab, target));
    }

    // On a face, an edge or a corner of the colors printed, the others see a patch from one side alone, and a printer may well
    // turn steep there, as in its shadows. House values, no source.
    private static Func<MeasuredPatch, double> Slack(List<MeasuredPatch> patches)
    {
        double[] slack = [1, 1.5, 2.5, 4];
        var channels = new Func<MeasuredPatch, double>[] { patch => patch.Color.R, patch => patch.Color.G, patch => patch.Color.B };
        var ends = channels.Select(channel => (Channel: channel, Least: patches.Min(channel), Most: patches.Max(channel))).ToArray();
        return patch => slack[ends.Count(end => end.Channel(patch) <= end.Least || end.Channel(patch) >= end.Most)];
    }

    // Of three readings or more of one color, one may be judged by the others.
    private static void Compare(PatchReading[][] groups, ImmutableArray<OutlyingReading>.Builder outliers)
    {
        var judged = groups.Index().Where(group => group.Item.Length >= 3)
            .SelectMany(group => group.Item.Select(reading => (group.Index, Reading: reading,
                Others: Mean([.. group.Item.Where(other => other != reading)]).Lab)))
            .Select(pair => (pair.Index, pair.Reading, pair.Others, Difference: Ciede2000.Difference(pair.Reading.Lab, pair.Others)))
            .ToArray();
        if (judged.Length == 0)
        {
            return;
        }

        double median = judged.Select(pair => pair.Difference).Order().ElementAt(judged.Length / 2);
        foreach (var group in judged.GroupBy(pair => pair.Index))
        {
            // One at a time: what is left of the group is compared anew in the next chart, not accused by this reading.
            var worst = group.MaxBy(pair => Math.Round(pair.Difference, 6));
            if (worst.Difference > OutlyingDifference && worst.Difference > OutlyingTimes * median)
            {
                outliers.Add(new OutlyingReading(worst.Reading.Label, worst.Reading.Color, worst.Reading.Lab, worst.Others, worst.Difference));
                groups[group.Key] = [.. groups[group.Key].Where(reading => reading != worst.Reading)];
            }
        }
    }

    private static MeasuredPatch Mean(PatchReading[] readings) => new(
        readings[0].Label, readings[0].Color,
        new Lab(readings.Average(reading => reading.Lab.L), readings.Average(reading => reading.Lab.A), readings.Average(reading => reading.Lab.B)),
        readings.Length);

    private static double? Scatter(PatchReading[][] groups)
    {
        double sum = 0;
        int freedom = 0;
        foreach (var group in groups.Where(group => group.Length > 1))
        {
            var mean = Mean(group).Lab;
            sum += group.Sum(reading => Math.Pow(Ciede2000.Difference(reading.Lab, mean), 2));
            freedom += group.Length - 1;
        }

        return freedom == 0 ? null : Math.Sqrt(sum / freedom);
    }

    // Of more patches than a spline takes, those that lie farthest apart: each next one is the farthest from all before it.
    private static List<MeasuredPatch> Chosen(List<MeasuredPatch> patches)
    {
        if (patches.Count <= SplineModel.MostPatches)
        {
            return patches;
        }

        var nearest = new double[patches.Count];
        Array.Fill(nearest, double.MaxValue);
        var chosen = new List<MeasuredPatch>();
        for (int next = 0; chosen.Count < SplineModel.MostPatches; next = nearest.Index().MaxBy(distance => distance.Item).Index)
        {
            chosen.Add(patches[next]);
            for (int i = 0; i < patches.Count; i++)
            {
                nearest[i] = Math.Min(nearest[i], patches[i].Color.DistanceTo(patches[next].Color));
            }
        }

        return chosen;
    }
}
