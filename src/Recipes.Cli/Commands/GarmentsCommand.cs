using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Setups;

namespace Recipes.Cli.Commands;

/// <summary><c>garments</c>: the shop's garment stock, and one garment whole.</summary>
internal static class GarmentsCommand
{
    public static Command Create()
    {
        var name = new Argument<string>("NAME") { HelpName = "NAME", Description = "A garment's name", CompletionSources = { Names.Garments } };
        var show = new Command("show", "Shows a garment of the stock, and the setup that it is printed under") { name };
        var command = new Command("garments", "Lists the shop's garment stock")
        {
            show.With("recipes garments show harbor-tee-navy", session => Show(GarmentStock.Find(session.Parse.GetRequiredValue(name)))),
        };
        return command.With("recipes garments", _ => List());
    }

    private static Outcome List()
    {
        var all = GarmentStock.All();
        return new Outcome(new JsonObject { ["garments"] = new JsonArray([.. all.Values.Select(GarmentStock.ToJson)]) }, text =>
        {
            foreach (var garment in all.Values)
            {
                string white = garment.White ? "" : ", no white ink";
                text.WriteLine($"  {garment.Name,-28} {garment.Cloth} {garment.InWords()}; setup {garment.Setup}{white}{Sizes(garment)}");
            }

            text.WriteLine(all.IsEmpty
                ? "The stock is empty; docs/garments.md says where the shop's garments are listed." : "--garment NAME chooses cloth and setup.");
        });
    }

    private static Outcome Show(Garment garment)
    {
        var setup = garment.ToSetup();
        return new Outcome(new JsonObject { ["garment"] = GarmentStock.ToJson(garment), ["setup"] = SetupJson.ToJson(setup) }, text =>
        {
            text.WriteLine($"{garment.Name}: {garment.InWords()}, cloth {garment.Cloth}{Sizes(garment)}");
            text.WriteLine($"  listed in {garment.File}, printed under {garment.Setup}:");
            text.Write(SetupJson.Text(setup));
        });
    }

    private static string Sizes(Garment garment) => garment.Sizes.IsEmpty ? "" : $"; sizes {string.Join(", ", garment.Sizes.Select(size => size.Name))}";
}
