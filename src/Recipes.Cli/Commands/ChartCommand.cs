using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Charts;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Cli.Commands;

/// <summary><c>chart</c>: patches to print, and the reference data that a measurement goes with.</summary>
internal static class ChartCommand
{
    private static readonly ChartRequest Usual = new("");

    public static Command Create()
    {
        var output = new Option<string>("--output", "-o")
        {
            Description = "The picture to write, as .png; FILE-1.png and on where it takes several pages, FILE.txt beside it",
            HelpName = "FILE", Required = true,
        };
        var grid = new Option<int>("--grid")
        {
            Description = "Levels of each channel, 2 to 12", HelpName = "N", DefaultValueFactory = _ => Usual.Levels,
        };
        var gray = new Option<int>("--gray")
        {
            Description = "Steps of gray beside the grid, 0 to 64", HelpName = "N", DefaultValueFactory = _ => Usual.Grays,
        };
        var repeats = new Option<int>("--repeats")
        {
            Description = "How often each color of the grid is printed, 1 to 5", HelpName = "N", DefaultValueFactory = _ => Usual.Repeats,
        };
        var around = new Option<string?>("--around")
        {
            Description = "A bracket around this color instead of a grid", HelpName = "#rrggbb",
        };
        var step = new Option<string>("--step")
        {
            Description = "The bracket's steps: one for L*, C* and as much of hue, or three as L,C,h with h in degrees",
            HelpName = "N|L,C,h", DefaultValueFactory = _ => Usual.Steps,
        };
        var patch = new Option<string>("--patch")
        {
            Description = "The side of a patch, in mm or in", HelpName = "LENGTH", DefaultValueFactory = _ => Usual.Patch,
        };
        var setup = Options.Setup();
        var force = Options.Force();
        var command = new Command("chart", "Makes a chart of color patches to print, with the reference data to measure it against")
        {
            output, grid, gray, repeats, around, step, patch, setup, Options.Garment, force,
        };
        const string example = "recipes chart -o chart.png --setup light-garment\n  recipes chart -o orange.png --around \"#e07820\" --step 3 --patch 0.5in";
        return command.With(example, session =>
        {
            var parse = session.Parse;
            string? color = parse.GetValue(around);
            foreach (var option in color is not null ? new Option[] { grid, gray, repeats } : [step])
            {
                if (parse.GetResult(option) is { Implicit: false })
                {
                    throw MakeChart.Bad($"{option.Name} goes with {(color is not null ? "a grid" : "--around")}",
                        color is not null ? "Leave it out, or leave --around out." : "Add --around \"#rrggbb\", or leave it out.");
                }
            }

            var request = new ChartRequest(parse.GetRequiredValue(output))
            {
                Setup = session.Setup(setup), Levels = parse.GetValue(grid), Grays = parse.GetValue(gray), Repeats = parse.GetValue(repeats),
                Around = color is null ? null : ColorOf(color), Steps = parse.GetValue(step)!, Patch = parse.GetValue(patch)!, Force = parse.GetValue(force),
            };
            return Told(MakeChart.Write(session.Shop, request), request.Patch);
        });
    }

    private static Rgba8 ColorOf(string text) => Rgba8.TryParse(text, out var color) ? color
        : throw MakeChart.Bad($"--around takes a color as #rrggbb, not '{CleanText.Line(text, 40)}'", "Write --around \"#e07820\", for instance.");

    private static Outcome Told(MadeChart made, string patch)
    {
        int printed = made.Printed.Count();
        var fields = new JsonObject
        {
            ["setup"] = SetupJson.ToJson(made.Setup),
            ["chart"] = new JsonObject
            {
                ["id"] = made.Identity,
                ["title"] = made.Title,
                ["patches"] = printed,
                ["crossed"] = made.Cells.Length - printed,
                ["reference"] = new JsonObject { ["file"] = made.Reference, ["sha256"] = made.ReferenceSha256 },
            },
            ["cells"] = new JsonArray([.. made.Cells.Select(cell => new JsonObject
            {
                ["label"] = cell.Label, ["rgb"] = cell.Crossed ? null : cell.Color.ToString(), ["note"] = cell.Note,
            })]),
            ["outputs"] = new JsonObject { ["pages"] = new JsonArray([.. made.Pages.Select(page => (JsonNode)page)]), ["reference"] = made.Reference },
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"{made.Identity}: {made.Title}, {Numeral.Of(printed)} patches of {patch} for {made.Setup.Name}.");
            text.WriteLine($"Wrote {string.Join(", ", made.Pages)} and the reference {made.Reference}.");
            text.WriteLine("Print it at its own size on the garment it is for, cure it and let it cool before anybody looks or measures; "
                + "docs/charts.md says how.");
            text.WriteLine($"For chart:LABEL, add to the setup: \"chart\": {{ \"file\": \"{Path.GetFileName(made.Reference)}\", "
                + $"\"sha256\": \"{made.ReferenceSha256}\", \"date\": \"yyyy-mm-dd\" }}");
        }) { Problems = made.Warnings };
    }
}
