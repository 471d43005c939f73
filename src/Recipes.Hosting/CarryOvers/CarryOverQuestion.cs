using System.Collections.Immutable;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.CarryOvers;

/// <summary>A parameter that answers the question, with its two plainest values as <see cref="CarryOverRequest.Sets"/> takes them.</summary>
/// <param name="Parameter">The parameter.</param>
/// <param name="Without">Without the regions that are asked about; where no number can be carried over, the numbers are to be written behind it.</param>
/// <param name="With">With them; null where no number can be carried over.</param>
public sealed record CarryOverOption(ParameterSpec Parameter, string Without, string? With);

/// <summary>What somebody must say before a step is carried over.</summary>
/// <param name="Step">The step.</param>
/// <param name="Part">Its recipe that needs the answer.</param>
/// <param name="Options">What answers it.</param>
public sealed record CarryOverQuestion(CarriedStep Step, CarriedPart Part, ImmutableArray<CarryOverOption> Options)
{
    /// <summary>The regions that are asked about, and why.</summary>
    public CarriedAnswers Answers => Part.Answers!;

    /// <summary>What becomes of a region that nobody names, and of one that is named.</summary>
    /// <param name="region">The region; null for all that are asked about.</param>
    public RegionFate Fate(ReportedRegion? region = null) => RegionFate.Of(Part.Run.Report, region is null ? Regions : [region]);

    private ImmutableArray<ReportedRegion> Regions => [.. Answers.Open.Select(region => region.Region)];

    /// <summary>The run that pictures show. A JPEG has hundreds of pieces; they number what is asked.</summary>
    internal RunResult Shown => Answers.Open.IsEmpty ? Part.Run
        : Part.Run with { Report = Part.Run.Report with { Regions = [.. Part.Run.Report.Regions.Select(list => list with { Regions = Regions })] } };

    internal static CarryOverQuestion Of(CarriedStep step)
    {
        var open = step.Open!;
        var answers = open.Answers!;
        var numbers = CarriedAnswers.NumbersOf(open.Part.Recipe.Spec).ToList();
        // Where no number was given, the one that makes exceptions is asked for; every other recipe has one such parameter, or says what it wants.
        var asked = numbers.Where(parameter => open.Part.Was.Any(set =>
            set.StartsWith(parameter.Name + "=", StringComparison.Ordinal) && set.Length > parameter.Name.Length + 1)).ToList();
        asked = asked.Count > 0 ? asked : [numbers.Find(parameter => parameter.Name == "except") ?? numbers[0]];
        return new CarryOverQuestion(step, open, [.. asked.Select(parameter => new CarryOverOption(
            parameter, Set(parameter, false), answers.Why is null ? Set(parameter, true) : null))]);

        string Set(ParameterSpec parameter, bool with) => $"{open.Part.Key}.{parameter.Name}={answers.NumbersWith(parameter.Name, with)}";
    }

    internal Problem Problem(CarryOverRequest request, string picture)
    {
        string asked = Answers.Open.Length == 1 ? $"region {Answers.Open[0].Region.Number}"
            : $"regions {CleanText.Line(CarriedAnswers.Text(Regions.Select(region => region.Number)), 200)}";
        string step = $"Step {Step.Step.Step.Number}, {Part.Part.Name}", without = string.Join(' ', Options.Select(option => $"--set {option.Without}"));
        return Answers.Why is { } why
            ? new Problem(Codes.OpenAnswers, $"{step}: {why}. Nothing was kept.",
                $"Look at {picture}. Then run the command again with the numbers that are right there: {without}1,2 for instance.", new Place(request.NewPath))
            : new Problem(Codes.OpenAnswers,
                $"{step}: what was said about {request.OldPath} doesn't tell what to do with {asked} of {request.NewPath}. Nothing was kept.",
                $"Look for {asked} in {picture}. Then run the command again: with {without} it {Fate().Unnamed}, "
                    + $"with {string.Join(' ', Options.Select(option => $"--set {option.With}"))} it {Fate().Named}.", new Place(request.NewPath));
    }
}
