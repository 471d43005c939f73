using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Hosting.Words;

namespace Recipes.Hosting.Tests;

/// <summary>
/// Texts from outside, as people read them. Which characters are hidden is tested against the Unicode Character Database where recipes are checked.
/// </summary>
public sealed class CleanTextTests
{
    // A blank of Braille, an annotation's anchor, an Egyptian joiner, a Hangul filler, a tag, a selector alone, one of the second kind, a private one.
    [Theory]
    [InlineData("sail\u2800", "sail\\u2800")]
    [InlineData("sa\uFFF9il", "sa\\uFFF9il")]
    [InlineData("sa\U00013430il", "sa\\U00013430il")]
    [InlineData("\u3164sail", "\\u3164sail")]
    [InlineData("sail\U000E0041", "sail\\U000E0041")]
    [InlineData("sail\uFE0F", "sail\\uFE0F")]
    [InlineData("sail\U000E0100", "sail\\U000E0100")]
    [InlineData("sail\uF8FF", "sail\\uF8FF")]
    [InlineData("\u202Eliasgnp", "\\u202Eliasgnp")]
    // What an emoji is made of shows nothing behind another letter; so it is shown wherever it stands.
    [InlineData("\u2764\uFE0F", "\u2764\\uFE0F")]
    [InlineData("\U0001F469\u200D\U0001F3A8", "\U0001F469\\u200D\U0001F3A8")]
    // Controls part words, as they did.
    [InlineData("sail\tpuffin\u2028beak\u0085", "sail puffin beak")]
    // Letters, marks and signs of any script stay.
    [InlineData("voil\u00e0 e\u0301 \u6F22\u5B57 \u3000 \U0001F426", "voil\u00e0 e\u0301 \u6F22\u5B57 \u3000 \U0001F426")]
    public void What_hides_is_shown(string text, string shown)
    {
        CleanText.Line(text, 100).ShouldBe(shown);
        CleanText.Line(shown, 100).ShouldBe(shown);
    }

    [Fact]
    public void Two_names_that_look_alike_are_shown_apart() =>
        new[] { "sail", "sail\u2800", "sail\u200B", "sail\uFE0F", "sail\U000E0041", "sail\u115F" }
            .Select(name => CleanText.Line(name, 100)).Distinct().Count().ShouldBe(6);

    [Theory]
    [InlineData("sail\u2800\U00013430\U000E0041\U0001F426")]
    public void JSON_holds_it_as_an_escape_and_means_the_same(string text)
    {
        var options = new JsonSerializerOptions { Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };
        string json = CleanText.Json(new JsonObject { ["name"] = text }.ToJsonString(options));
        json.ShouldNotContain("\u2800");
        json.ShouldNotContain("\U00013430");
        json.ShouldNotContain("\U000E0041");
        ((string)JsonNode.Parse(json)!["name"]!).ShouldBe(text);
    }
}
