using System.Text.Json.Nodes;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.CarryOvers;

/// <summary>What became of an art's steps as the JSON of the command-line contract.</summary>
internal static class CarryOverJson
{
    /// <summary>The command that reports name.</summary>
    public const string Command = "carry-over";

    public static JsonObject Of(CarryOverRequest request, CarriedOver carried, Timings timings)
    {
        var (first, pictures) = (carried.State, carried.Pictures);
        var fields = new JsonObject
        {
            ["old"] = request.OldPath,
            ["art"] = ReportJson.Of(first.Identity),
            ["setup"] = SetupJson.ToJson(first.Setup),
            ["steps"] = new JsonArray([.. carried.Steps.Select(Of)]),
            ["questions"] = carried.Question is { } question ? new JsonArray(Of(question)) : [],
            ["step"] = carried.Step,
            ["outputs"] = pictures?.Outputs() ?? new JsonObject { ["file"] = carried.WorkPath },
            ["milliseconds"] = timings.ToJson(),
        };
        if (pictures is not null)
        {
            fields["inputs"] = new JsonObject { ["art"] = pictures.Seen(request.NewPath), ["old"] = pictures.Seen(request.OldPath) };
        }

        return fields;
    }

    private static JsonObject Of(CarriedStep step)
    {
        var json = new JsonObject { ["from"] = step.Step.Step.Number, ["step"] = step.Number };
        ReportJson.AddTo(json, step.Result.Report);
        json["carried"] = new JsonArray([.. step.Parts.Where(part => part.Answers?.Match is not null).Select(part => Of(part.Part.Name, part.Answers!))]);
        return json;
    }

    private static JsonObject Of(string recipe, CarriedAnswers answers)
    {
        var match = answers.Match!;
        return new JsonObject
        {
            ["recipe"] = recipe,
            ["placement"] = new JsonObject
            {
                ["turned"] = match.Turn.Quarters * 90, ["mirrored"] = match.Turn.Mirrored,
                ["scale"] = match.Placement.Scale, ["x"] = match.Placement.X, ["y"] = match.Placement.Y,
            },
            ["regions"] = new JsonArray([.. match.Found.Select(found => new JsonObject
            {
                ["old"] = found.Number,
                ["fit"] = found.Fit == RegionFit.Gone && answers.LeavesOut ? "not-listed" : EnumWord.Of(found.Fit),
                ["now"] = Numbers(found.Now),
            })]),
            ["new"] = Numbers(match.New.Select(added => added.Number)),
        };
    }

    private static JsonObject Of(CarryOverQuestion question)
    {
        var (answers, recipe) = (question.Answers, question.Part.Part.Name);
        return new JsonObject
        {
            ["step"] = question.Step.Step.Step.Number,
            ["recipe"] = recipe,
            ["why"] = answers.Why,
            ["options"] = new JsonArray([.. question.Options.Select(option => new JsonObject
            {
                ["recipe"] = recipe, ["parameter"] = option.Parameter.Name, ["help"] = option.Parameter.Help,
                ["without"] = $"--set {option.Without}", ["with"] = option.With is null ? null : $"--set {option.With}",
            })]),
            ["regions"] = new JsonArray([.. answers.Open.Select(region =>
            {
                var json = ReportJson.Of(region.Region).AsObject();
                json["numbers"] = CarriedAnswers.Text(region.Numbers);
                json["why"] = region.Why;
                json["was"] = Numbers(region.Was);
                return json;
            })]),
        };
    }

    private static JsonArray Numbers(IEnumerable<int> numbers) => new([.. numbers.Select(number => (JsonNode?)number)]);
}
