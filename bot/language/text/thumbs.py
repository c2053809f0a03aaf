"""Words as hurried thumbs write them: short forms, and plain words worth mending because a reading hangs on them."""

# ruff: noqa: E501, SIM905  (tables of words are read as tables)

from __future__ import annotations

SHORT = {
    "n": "and", "&": "and", "w": "with", "w/": "with", "pls": "please", "plz": "please", "frm": "from", "abt": "about", "2nite": "tonight", "tonite": "tonight",
    "tmrw": "tomorrow", "tmw": "tomorrow", "tomoz": "tomorrow", "tom": "tom", "yest": "yesterday", "yday": "yesterday", "ystd": "yesterday", "thur": "thursday", "yda": "yesterday", "yst": "yesterday", "ysst": "yesterday", "ystday": "yesterday", "ystdy": "yesterday", "y'day": "yesterday", "tmro": "tomorrow", "tmrrw": "tomorrow", "manana": "tomorrow", "oclock": "o'clock",
    "r": "are", "u": "you", "ur": "your", "alredy": "already", "cuz": "because", "cos": "because", "coz": "because", "wkend": "weekend", "2day": "today", "tdy": "today", "2moro": "tomorrow",
    "aft": "afternoon", "wk": "week", "wks": "weeks", "yr": "year", "yrs": "years", "hr": "hour", "hrs": "hours", "min": "minutes", "mins": "minutes", "til": "until", "till": "until",
    "thru": "through", "approx": "about", "roughly": "about", "around": "around", "ish": "ish", "avg": "average", "w/o": "without", "bc": "because", "evryting": "everything", "evry1": "everyone", "every1": "everyone", "frz": "frozen", "frzn": "frozen", "nite": "night", "nites": "nights", "lastnite": "lastnight", "yesturday": "yesterday", "rst": "rest", "wif": "with", "xept": "except", "exept": "except", "ttls": "totals", "tot": "total", "em": "them", "lft": "left", "hw": "how", "mnth": "month", "soz": "sorry", "sry": "sorry", "bk": "back", "strtd": "started", "harv": "harvested", "harvd": "harvested", "shud": "should", "whers": "where's", "cud": "could", "wud": "would", "wiht": "with", "teh": "the", "mister": "mr", "bby": "baby", "mornin": "morning", "torch": "torch",
    "smth": "something", "prob": "probably", "defo": "definitely", "gon": "gone", "whats": "what's", "hows": "how's", "whos": "who's", "wheres": "where's", "whens": "when's", "im": "i'm", "ive": "i've",
    "feeded": "fed", "gived": "gave", "buyed": "bought", "selled": "sold", "taked": "took", "losed": "lost", "finded": "found", "putted": "put", "catched": "caught", "yesterdays": "yesterday's", "todays": "today's", "htr": "heater", "dn": "down", "thats": "that's", "theres": "there's", "theyre": "they're", "hes": "he's", "shes": "she's", "wats": "what's", "wen": "when", "wot": "what",
    "egs": "eggs", "eg": "egg", "watr": "water", "watre": "water", "wtr": "water", "filtr": "filter", "filtrs": "filters", "spunge": "sponge", "spunges": "sponges", "spung": "sponge",
    "sping": "sponge", "drps": "drops", "drp": "drop", "mopp": "mop", "mopps": "mops", "dun": "done", "bak": "back", "nwo": "now", "wat": "what", "wht": "white", "wite": "white",
    "ned": "need", "ths": "this", "tis": "this", "hav": "have", "gav": "gave", "wos": "was", "woz": "was", "shld": "should", "cld": "could", "wld": "would", "dnt": "don't",
    "didnt": "didn't", "cant": "can't", "wont": "won't", "thnk": "think", "thx": "thanks", "bcs": "because", "bcos": "because", "tdk": "tank", "tnk": "tank", "tnak": "tank",
    "tnaks": "tanks", "tnks": "tanks", "tubz": "tubs", "tb": "tub", "wc'd": "wc", "morn": "morning", "eve": "evening", "arvo": "afternoon", "sat'day": "saturday", "mcuh": "much",
    "hte": "the", "adn": "and", "nad": "and", "fo": "of", "fro": "for", "ot": "to", "ni": "in", "si": "is", "ti": "it", "thsi": "this", "taht": "that", "wich": "which", "whcih": "which",
    "wehn": "when", "waht": "what", "hwo": "how", "nto": "not", "wrng": "wrong", "frey": "fry", "frie": "fry", "fyr": "fry", "bacl": "back", "onyl": "only", "olny": "only", "jsut": "just", "abuot": "about", "eech": "each", "ech": "each", "evry": "every", "shw": "show", "wil": "will", "ment": "meant", "remid": "remind", "snce": "since", "sho": "show", "tel": "tell", "giv": "give", "lok": "look", "yeest": "yeast", "yeastt": "yeast", "evrything": "everything",
    "evrybody": "everybody", "evryone": "everyone", "agn": "again", "smal": "small", "al": "all", "liter": "litre", "litr": "litre", "litrs": "litres", "litters": "litres", "ltrs": "litres",
    "gals": "gallons", "ppl": "people", "gona": "gonna", "payd": "paid", "frist": "first", "mrach": "march", "yestrday": "yesterday", "ystrdy": "yesterday", "tday": "today",
    "tdoay": "today", "2mrw": "tomorrow", "tmrow": "tomorrow", "tomorow": "tomorrow", "tonigt": "tonight", "ovrnite": "overnight", "ovenight": "overnight", "overnite": "overnight",
    "ovenite": "overnight",
    "movd": "moved", "hatchd": "hatched", "hachin": "hatching", "hachng": "hatching", "htching": "hatching", "hatchin": "hatching", "cleand": "cleaned", "changd": "changed", "countd": "counted", "pulld": "pulled", "bagd": "bagged", "swapd": "swapped", "topd": "topped", "layd": "laid", "layed": "laid", "eyd": "eyed", "ded": "dead", "fungas": "fungus", "fungasy": "fungusy", "resrve": "reserve", "transfered": "transferred", "binnd": "binned", "empyt": "empty", "emtpy": "empty", "sqeezed": "squeezed", "washd": "washed",
    "mob": "mop", "mpp": "mop", "mpos": "mops", "mobs": "mops", "nwe": "new", "splited": "split", "splitted": "split", "splt": "split", "weted": "wetted", "wettd": "wetted", "thind": "thinned", "contd": "counted", "cnted": "counted", "ordr": "order",
    "cept": "except", "xcept": "except", "ttl": "total", "wiv": "with", "yestday": "yesterday", "tice": "twice", "nite's": "night", "night's": "night", "evning": "evening", "mornin'": "morning", "shd": "should", "sould": "should", "shuld": "should", "whts": "what's", "wots": "what's", "wuts": "what's", "wut": "what", "nvm": "nevermind", "nm": "nevermind", "l8r": "later", "l8er": "later", "l8": "late", "gr8": "great", "m8": "mate",
    "rsv": "reserved", "rsvd": "reserved", "resv": "reserved", "rsrv": "reserved", "agen": "again", "agan": "again", "noting": "nothing", "nuthin": "nothing", "nuffin": "nothing", "nowt": "nothing", "moer": "more",
    "mny": "many", "wher": "where", "whr": "where", "whn": "when", "fde": "fed", "efd": "fed", "fdd": "fed", "wekly": "weekly", "weekley": "weekly", "dayly": "daily", "daly": "daily", "evryday": "everyday", "restrt": "restart",
    "instd": "instead", "insted": "instead", "sumary": "summary", "sched": "schedule", "nxt": "next", "lst": "last", "hachrate": "hatchrate", "thrsday": "thursday", "satday": "saturday", "sunda": "sunday", "tuesdy": "tuesday",
    "bth": "both", "dops": "drops", "dorps": "drops", "tpsb": "tbsp", "tmps": "temps", "tmep": "temp", "joovs": "juveniles", "haf": "half", "zro": "zero", "nun": "none", "othing": "nothing", "canceld": "cancelled", "sodl": "sold", "deid": "died", "dide": "died", "ca": "about",
}  # fmt: skip

MENDABLE = frozenset(
    """
adults afternoon airline airstone almond ammonia another anyone anything babies bagged bought breeders broken bubbling bullied came cancel cancelled
cleaned clear collected conductivity could count counted couple cracked crashed culture cultures days dead degrees delete died distilled does dollars
dosed dozen drying each eighteen emptied empty evening every everybody everyone everything fed female females fifty filter first flashing floating
forty found fungus fungused fungusy gallons gave given glass going gone half hardness harvested hatched have heater hours hundred jumped juveniles
last leaves left light lights litres long look looking looks male males many measured methylene missing month months mouldy moved much need needs next
nineteen nitrate nitrite nothing number only overnight paid peroxide please pounds quarantine quarter rainwater remember remind reminder replaced rest returned
rinsed seventeen should shoulder siphon siphoned sixteen smell smells soaked sold sponge squeezed squeezing started still swapped swimming taken
tannins temperature tested them thermometer these they third thirteen told took topped treated together twenty visible want wanted wants washed went wetted what when
where which white wiped would yesterday youngsters
vinegar weekly daily might again summary routine instead reserve reserved promised schedule
""".split()
)
