using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>ticket</c>: one sheet for the press.</summary>
internal static class TicketCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var output = new Option<string>("--output", "-o") { Description = "The page to write, as .html", HelpName = "FILE", Required = true };
        var setup = Options.Setup();
        var original = Options.Original();
        var force = Options.Force();
        var field = Options.Field();
        var command = new Command("ticket", "Writes one sheet for the press, which says what changed since the last good print")
        {
            art, output, setup, Options.Garment, original, field, force,
        };
        return command.With("recipes ticket puffin.png -o puffin-ticket.html", session =>
        {
            var parse = session.Parse;
            string path = parse.GetRequiredValue(output);
            var request = new TicketRequest(session.Art(parse.GetRequiredValue(art), setup, original), path)
            {
                Force = parse.GetValue(force), Fields = TicketField.Read(parse.GetValue(field)!),
            };
            return path.EndsWith(".html", StringComparison.OrdinalIgnoreCase)
                ? TicketSheet.Write(session.Shop, request, sheet => Told(session, request, sheet).TellFirst(sheet.Ticket.State))
                : throw new ProblemException(
                    Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .html file name; ticket writes .html.", "Name the output with .html.");
        });
    }

    private static Outcome Told(Session session, TicketRequest request, TicketSheet sheet) =>
        new(Fields(session, request, sheet), text => Write(text, request, sheet))
    {
        Problems = [.. sheet.Warnings],
    };

    private static JsonObject Fields(Session session, TicketRequest request, TicketSheet sheet)
    {
        var ticket = sheet.Ticket;
        var (state, repeat) = (ticket.State, ticket.Repeat);
        return new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["step"] = state.Step,
            ["stateSha256"] = state.StateSha256,
            ["setup"] = SetupJson.ToJson(state.Setup),
            ["garment"] = ticket.Garment is { } garment ? GarmentStock.ToJson(garment) : null,
            ["fields"] = new JsonObject([.. request.Fields.Select(known => KeyValuePair.Create(known.Name, (JsonNode?)known.Value))]),
            ["code"] = ticket.Code.Text,
            ["exportSha256"] = ticket.Code.Export,
            ["effectivePpi"] = Math.Round(ticket.Check.EffectivePpi, 2),
            ["findings"] = new JsonArray([.. ticket.Check.Findings.Select(finding => (JsonNode)finding.Code)]),
            ["colors"] = new JsonArray([.. ticket.Colors.Select(color =>
                new JsonObject { ["rgb"] = color.Color.ToString(), ["pixels"] = color.Pixels, ["share"] = color.Share })]),
            ["testFirst"] = repeat.TestFirst,
            ["lastGood"] = repeat.LastGood is { } good ? PrintJson.Of(good.Setup, good.Print) : null,
            ["badSince"] = repeat.BadSince is { } bad ? PrintJson.Of(bad.Setup, bad.Print) : null,
            ["notes"] = ReportJson.Of(ticket.Notes),
            ["changes"] = new JsonArray([.. repeat.Changes.Select(change =>
                new JsonObject { ["what"] = change.What, ["was"] = change.Was, ["now"] = change.Now })]),
            ["brackets"] = new JsonArray([.. sheet.Brackets.Select(command => (JsonNode)command)]),
            ["outputs"] = new JsonObject
            {
                ["file"] = request.Path, ["strip"] = sheet.StripPath, ["planes"] = new JsonArray([.. sheet.Planes.Select(plane => (JsonNode)plane.Path)]),
            },
            ["milliseconds"] = session.Timings.ToJson(),
        };
    }

    private static void Write(TextWriter text, TicketRequest request, TicketSheet sheet)
    {
        var ticket = sheet.Ticket;
        var (state, repeat) = (ticket.State, ticket.Repeat);
        if (ScantInk.In(ticket.Check) is { } scant)
        {
            text.WriteLine(scant.Message);
        }

        text.WriteLine($"Wrote {request.Path}: step {state.Step} of {request.Art.Path}, setup {state.Setup.Name}, {ResolutionInWords.Effective(state)}.");
        if (sheet.StripPath is { } stripPath)
        {
            text.WriteLine($"Wrote {string.Join(", ", sheet.Planes.Select(plane => plane.Path).Prepend(stripPath))}: its main colors, "
                + "to print on the garment and staple on.");
        }

        text.WriteLine(Since(repeat, Repeat.Unnoted(state.Setup)));
        if (repeat.BadSince is { } bad)
        {
            text.WriteLine($"  a bad print: {bad.WhyInWords()}");
        }

        foreach (var change in repeat.Changes)
        {
            text.WriteLine($"  {change.What}: {change.Was} -> {change.Now}");
        }

        foreach (string command in sheet.Brackets)
        {
            text.WriteLine($"  {command}");
        }
    }

    private static string Since(Repeat repeat, string unnoted) => (repeat.TestFirst, repeat.LastGood) switch
    {
        (true, null) => "TEST FIRST. No good print is remembered:",
        (true, _) => "TEST FIRST. Since the last good print:",
        (_, null) => "No print of it is remembered yet; 'recipes printed' tells how one came out.",
        _ when unnoted.Length > 0 => $"Nothing that is noted changed since the last good print. Not noted, so ask: {unnoted}.",
        _ => "Nothing changed since the last good print.",
    };
}
