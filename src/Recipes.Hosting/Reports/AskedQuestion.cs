using System.Collections.Immutable;
using Recipes.Imaging;

namespace Recipes.Hosting.Reports;

/// <summary>A question of a recipe, or of <c>check</c> in its name: where somebody must say what is meant, and how to say it.</summary>
/// <param name="Code">The code of the finding that it is about.</param>
/// <param name="Step">The recipe's place in a list, from 1; of a decided question in a check the step that decided it.</param>
/// <param name="Recipe">The recipe that asks.</param>
/// <param name="Message">The question in a sentence.</param>
/// <param name="Regions">What it is about; each is numbered as in the recipe's list.</param>
/// <param name="Proposal">What is done unless it is answered.</param>
/// <param name="Answer">The parameter that answers it, as <c>recipe.name=value</c>.</param>
public sealed record AskedQuestion(
    string Code, int Step, string Recipe, string Message, ImmutableArray<ReportedRegion> Regions, string Proposal, string Answer)
{
    /// <summary>Where it is decided: how, by whom, or that the proposal was taken; null while it is open.</summary>
    public string? Decision { get; init; }

    /// <summary>Where the picture's edge was when it was asked, in px of the canvas of then; null where nobody needs to find its regions again.</summary>
    public Box? Edge { get; init; }

    /// <summary>The smallest box around all regions, or null where it is about none.</summary>
    public Box? Box => Regions.IsEmpty ? null : Regions.Aggregate(default(Box), (around, region) => around.Around(region.Box));

    /// <summary>What <c>--set</c> takes to answer it.</summary>
    /// <param name="ofList">True: the recipe runs as one of a list, whose parameters bear the recipe's name.</param>
    public string Setting(bool ofList) => ofList ? Answer : Answer[(Recipe.Length + 1)..];

    /// <summary>How many pixels it is about.</summary>
    public long Pixels => Regions.Sum(region => region.Pixels);

    /// <summary>A question as a recipe or a judgment of the art asks it.</summary>
    /// <param name="question">The question.</param>
    /// <param name="recipe">The recipe that asks it, or would.</param>
    /// <param name="step">Its place in a list, from 1.</param>
    public static AskedQuestion Of(Question question, string recipe, int step)
    {
        ArgumentNullException.ThrowIfNull(question);
        return new AskedQuestion(question.Code, step, recipe, question.Message,
            [.. question.Regions.Select(region => new ReportedRegion(region.Number, region.Bounds, region.Count, false, region.Class))],
            question.Proposal, $"{recipe}.{question.Answer}") { Decision = question.Decided ? "answered" : null };
    }
}
