using System.Collections.Immutable;
using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Work;

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
        var field = new Option<string[]>("--field")
        {
            Description = "What the sheet says of the order: order, reference, quantity, sizes, or a name of your own; repeatable", HelpName = "NAME=VALUE",
            DefaultValueFactory = _ => [], CompletionSources = { _ => TicketField.KnownNames.Select(name => name + "=") },
        };
        var command = new Command("ticket", "Writes one sheet for the press, which says what changed since the last good print")
        {
            art, output, setup, Options.Garment, original, field, force,
        };
        return command.With("recipes ticket puffin.png -o puffin-ticket.html", session => Run(
            session, session.Parse.GetRequiredValue(art), session.Parse.GetRequiredValue(output),
            new Choices(
                session.Setup(setup), session.Parse.GetValue(original), session.Parse.GetValue(force), TicketField.Read(session.Parse.GetValue(field)!))));
    }

    private sealed record Choices(string? Setup, bool Original, bool Force, ImmutableArray<TicketField> Fields);

    private static Outcome Run(Session session, string artPath, string path, Choices choices)
    {
        var (setupOption, original, force, fieldsOfOrder) = choices;
        if (!path.EndsWith(".html", StringComparison.OrdinalIgnoreCase))
        {
            throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(path, 120)}' is not a .html file name; ticket writes .html.", "Name the output with .html.");
        }

        var file = session.Shop.ReadArt(artPath);
        string stripPath = path[..^".html".Length] + "-strip.png";
        Refuse(path, artPath, force);

        using var work = session.Shop.OpenWork(artPath);
        var chosen = ChosenSetup.Find(setupOption, work).Required();
        var state = session.Shop.FindState(file, work, chosen, original, WorkerPool.Usual);
        var ticket = session.Progress.During("Looking", () => session.Timings.Measure("check", () => Ticket.Of(state))) with { Fields = fieldsOfOrder };
        var brackets = ticket.Brackets(setupOption ?? chosen.Setup.Name);
        var planes = ticket.Strip is { } strip ? SeparationFiles.Of(strip, stripPath) : [];
        foreach (string beside in ticket.Strip is null ? [] : planes.Select(plane => plane.Path).Prepend(stripPath))
        {
            Refuse(beside, artPath, force);
        }

        session.Cancel.ThrowIfCancellationRequested();
        session.Progress.During("Writing the ticket", () => session.Timings.Measure("ticket", () =>
        {
            var files = new List<(string, Action<Stream>, bool)>();
            if (ticket.Strip is { } art)
            {
                PngText[] says = [new PngText(PngText.Provenance, TestSheet.Strip.ToJson(state.Setup.Name, ticket.Colors.Select(color => color.Color.ToString())))];
                double ppi = state.Setup.PixelsPerInch;
                files.AddRange(planes.Select(plane => (plane.Path, (Action<Stream>)(stream => PngWriter.Write(stream, plane.Ink, ppi, says)), force)));
                files.Add((stripPath, stream => PngWriter.Write(stream, art.Flat, ppi, says), force));
            }

            files.Add((path, stream => TicketPage.Write(stream, ticket, brackets, PngWriter.Encode), force));
            AtomicFile.WriteAll(files);
            return true;
        }));

        var repeat = ticket.Repeat;
        List<Problem> problems = [.. SeparationFiles.Warning(state.Art)];
        if (repeat.TestFirst)
        {
            problems.Add(new Problem(Codes.TestFirst, $"TEST FIRST: {Reasons(repeat)}.", $"Print a test before the order{(brackets.IsEmpty ? "" : "; the ticket names the brackets that help")}.", new Place(artPath), Severity.Warning));
        }

        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["step"] = state.Step,
            ["stateSha256"] = state.StateSha256,
            ["setup"] = SetupJson.ToJson(state.Setup),
            ["garment"] = ticket.Garment is { } garment ? GarmentStock.ToJson(garment) : null,
            ["fields"] = new JsonObject([.. fieldsOfOrder.Select(known => KeyValuePair.Create(known.Name, (JsonNode?)known.Value))]),
            ["code"] = ticket.Code.Text,
            ["exportSha256"] = ticket.Code.Export,
            ["effectivePpi"] = Math.Round(ticket.Check.EffectivePpi, 2),
            ["findings"] = new JsonArray([.. ticket.Check.Findings.Select(finding => (JsonNode)finding.Code)]),
            ["colors"] = new JsonArray([.. ticket.Colors.Select(color => new JsonObject { ["rgb"] = color.Color.ToString(), ["pixels"] = color.Pixels, ["share"] = color.Share })]),
            ["testFirst"] = repeat.TestFirst,
            ["lastGood"] = repeat.LastGood is { } good ? PrintJson.Of(good.Setup, good.Print) : null,
            ["badSince"] = repeat.BadSince is { } bad ? PrintJson.Of(bad.Setup, bad.Print) : null,
            ["notes"] = NoteCommand.Of(ticket.Notes),
            ["changes"] = new JsonArray([.. repeat.Changes.Select(change => new JsonObject { ["what"] = change.What, ["was"] = change.Was, ["now"] = change.Now })]),
            ["brackets"] = new JsonArray([.. brackets.Select(command => (JsonNode)command)]),
            ["outputs"] = new JsonObject { ["file"] = path, ["strip"] = ticket.Strip is null ? null : stripPath, ["planes"] = new JsonArray([.. planes.Select(plane => (JsonNode)plane.Path)]) },
            ["milliseconds"] = session.Timings.ToJson(),
        };
        var outcome = new Outcome(fields, text =>
        {
            if (ScantInk.In(ticket.Check) is { } scant)
            {
                text.WriteLine(scant.Message);
            }

            text.WriteLine($"Wrote {path}: step {state.Step} of {artPath}, setup {state.Setup.Name}, {ResolutionInWords.Effective(state)}.");
            if (ticket.Strip is not null)
            {
                text.WriteLine($"Wrote {string.Join(", ", planes.Select(plane => plane.Path).Prepend(stripPath))}: its main colors, to print on the garment and staple on.");
            }

            text.WriteLine(repeat.TestFirst ? repeat.LastGood is null ? "TEST FIRST. No good print is remembered:" : "TEST FIRST. Since the last good print:"
                : repeat.LastGood is null ? "No print of it is remembered yet; 'recipes printed' tells how one came out." : Repeat.Unnoted(state.Setup) is { Length: > 0 } unnoted ? $"Nothing that is noted changed since the last good print. Not noted, so ask: {unnoted}." : "Nothing changed since the last good print.");
            if (repeat.BadSince is { } bad)
            {
                text.WriteLine($"  a bad print: {bad.WhyInWords()}");
            }

            foreach (var change in repeat.Changes)
            {
                text.WriteLine($"  {change.What}: {change.Was} -> {change.Now}");
            }

            foreach (string command in brackets)
            {
                text.WriteLine($"  {command}");
            }
        })
        {
            Problems = problems,
        };
        return outcome.TellFirst(state);
    }

    private static void Refuse(string path, string artPath, bool force)
    {
        AtomicFile.RefuseOriginal(path, artPath);
        if (!force && File.Exists(path))
        {
            throw AtomicFile.Exists(path);
        }
    }

    private static string Reasons(Repeat repeat) => string.Join("; ", (string[])
    [
        .. repeat.Changes.IsEmpty ? (string[])[] : [$"changed since the last good print: {string.Join(", ", repeat.Changes.Select(change => change.What))}"],
        .. repeat.BadSince is null ? (string[])[] : ["the last print was bad"],
    ]);
}
