# ruff: noqa: E501
"""The words that head the columns of order lists, in some twenty languages, and how headers are compared.

Headers are compared without case, accents, spaces, punctuation and remarks in brackets, so `Max Cap`, `max-cap`,
`MAX_CAP` and `Max cap (optional)` are one. The words are from memory: common practice of shops, no source.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

_SEPARATORS: Final = re.compile(r"[\s_\-.:;,#/\\()\[\]{}*?!'’`\"“”„«»&+|ʼ=\ufeff\u200b-\u200f]+")
_BRACKETS: Final = re.compile(r"[(\[（][^)\]）]{0,40}[)\]）]")
_REMARKS: Final = re.compile(r"_(required|optional|pflichtfeld|obligatoire|obligatorio)$")


def key_of(header: str) -> str:
    """Return a header in the form in which headers are compared."""
    plain = _BRACKETS.sub(" ", header) if len(header) < 500 and not header.strip().startswith(("(", "[")) else header
    plain = unicodedata.normalize("NFKD", plain[:500]).casefold()
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return _REMARKS.sub("", _SEPARATORS.sub("_", unicodedata.normalize("NFC", plain)).strip("_"))


def _keys(words: str) -> tuple[str, ...]:
    """Return the keys of words parted by commas or line ends, in order, each once."""
    keys = (key_of(word) for word in re.split(r"[,\n]", words))
    return tuple(dict.fromkeys(key for key in keys if key))


LETTERING: Final = _keys("""
text, sign text, text on sign, text on the sign, text for sign, text of sign, lettering, wording, inscription
personalisation, personalization, personalised text, personalized text, personalisation text, personalization text
name on sign, name on the sign, sign name, name for sign, name for the sign, engraving, engraving text
text to engrave, custom text, custom name, custom wording, sign wording, plaque text, text to print, name to print
print text, personalised name, personalized name, your text, your personalization, your personalisation
gravur, gravurtext, beschriftung, wunschtext, wunschname, schildtext, aufschrift, inschrift, personalisierung
text auf dem schild, name auf dem schild, texte, texte à graver, gravure, personnalisation, texte personnalisé
nom à graver, texte du panneau, texto, grabado, texto a grabar, inscripción, personalización, rótulo
testo, incisione, testo da incidere, personalizzazione, iscrizione, scritta, gravação, personalização, inscrição
tekst, gravering, opschrift, graveertekst, personalisatie, naam op bord, skilttekst, indgravering, påskrift, inskription
skylttext, gravyr, text på skylten, namn på skylten, navn på skiltet, tekst på skiltet, teksti, kaiverrus, kyltin teksti
grawer, napis, personalizacja, treść, tekst na tabliczce, gravírování, text na ceduli, felirat, szöveg, gravírozás
text gravat, inscripție, metin, yazı, tabela yazısı, текст, надпись, гравировка, напис, гравіювання, κείμενο, επιγραφή, χάραξη
文字, テキスト, 刻印, 名入れ, 文本, 刻字, 刻印内容, 문구, 텍스트, 각인, نص, النص, نقش, טקסט, חריטה, כיתוב, पाठ, nội dung, văn bản, teks, ukiran
tekst natpisa, natpis, besedilo, napis na tabli, ข้อความ
""")
"""What stands on the sign, and nothing else."""

NAMES: Final = _keys("""
name, names, navn, namn, nom, noms, nombre, nombres, nome, nomes, nomi, naam, namen, nimi, nimet, nafn, imię, imiona
jméno, jména, meno, név, nevek, nume, ime, imena, ad, adı, isim, isimler, имя, имена, ім'я, імена, όνομα, ονόματα
名前, お名前, 氏名, 姓名, 名字, 이름, 성함, اسم, الاسم, שם, नाम, tên, nama, ชื่อ, vārds, vardas, emri, izena, ainm, enw
""")
"""A name, which mostly is that on the sign and sometimes the buyer's, or even the product's."""

PEOPLE: Final = _keys("""
guest, guest name, full name, customer, customer name, client, client name, buyer, buyer name, recipient
recipient name, ship name, shipping name, ship to name, billing name, billing full name, shipping full name, contact
contact name, bill to, ship to, kunde, kundenname, käufer, empfänger, gast, cliente, nombre completo, nome completo
acheteur, destinataire, nom complet, klant, klantnaam, koper, kund, kundnamn, gäst, gjest, gæst, asiakas, vieras
klient, imię i nazwisko, kupujący, zákazník, jméno a příjmení, vevő, ügyfél, client nume, müşteri, ad soyad
покупатель, клиент, имя и фамилия, фио, покупець, клієнт, πελάτης, ονοματεπώνυμο, 客户, 客户姓名, 顧客名, 購入者, 고객, 고객명
العميل, לקוח, שם מלא, khách hàng, pelanggan, vor und nachname, buyer full name, deliver to, delivery name
""")
"""Somebody who orders or receives, who need not be named on the sign."""

PARTS: Final = _keys("""
first name, last name, firstname, lastname, surname, family name, given name, forename, middle name, line 1, line 2
line 3, line1, line2, line3, text 1, text 2, text 3, text1, text2, text3, name 1, name 2, name1, name2, row 1, row 2
text line 1, text line 2, first line, second line, top line, bottom line
vorname, nachname, familienname, zeile 1, zeile 2, prénom, nom de famille, ligne 1, ligne 2, apellido, apellidos, cognome
línea 1, línea 2, riga 1, riga 2, sobrenome, voornaam, achternaam, regel 1, regel 2, förnamn, efternamn, rad 1, rad 2
fornavn, etternavn, efternavn, linje 1, linje 2, etunimi, sukunimi, rivi 1, rivi 2, nazwisko, linia 1, linia 2
příjmení, priezvisko, vezetéknév, keresztnév, prenume, soyad, soyadı, фамилия, прізвище, επώνυμο, 姓, 名, 성
""")
"""A part of a name or of a text; the sign may need several of them."""

ORDER: Final = _keys("""
order, order number, order no, order nr, order id, order ref, order reference, reference, id, order name, sale id
bestellung, bestellnummer, bestellnr, bestell nr, auftrag, auftragsnummer, auftragsnr, commande, n° de commande
numéro de commande, no commande, pedido, número de pedido, nº de pedido, nº pedido, ordine, numero ordine, n. ordine, encomenda
bestelling, bestelnummer, ordernummer, ordrenummer, ordre, beställning, beställningsnummer, bestilling, tilaus
tilausnumero, zamówienie, numer zamówienia, nr zamówienia, objednávka, číslo objednávky, rendelés, rendelésszám
comandă, număr comandă, sipariş, sipariş no, заказ, номер заказа, № заказа, замовлення, номер замовлення, παραγγελία
注文番号, 受注番号, 订单, 订单号, 订单编号, 주문번호, رقم الطلب, מספר הזמנה, đơn hàng, mã đơn hàng, pesanan, nomor pesanan
""")

QUANTITY: Final = _keys("""
quantity, qty, count, pieces, pcs, how many, copies, lineitem quantity, line item quantity, item quantity, items
number of items, number of signs, number of pieces, no of signs, no of items, units, order quantity, quantity ordered
qty ordered, quantity purchased, item qty, signs wanted, amount of signs
menge, anzahl, stück, stückzahl, stk, quantité, qté, nombre de pièces, nb, cantidad, cant, unidades, quantità, qtà
pezzi, quantidade, qtd, qtde, aantal, stuks, antal, antall, stycken, stykker, määrä, kpl, lukumäärä, ilość, sztuk, szt
liczba sztuk, množství, počet, počet kusů, kusů, ks, množstvo, mennyiség, darab, darabszám, db, cantitate, buc, bucăți
количество, кол-во, шт, кількість, к-ть, ποσότητα, τεμάχια, 数量, 個数, 枚数, 件数, 수량, 개수, الكمية, كمية, العدد, כמות, मात्रा
số lượng, jumlah, จำนวน, adet, miktar, količina, kiekis, daudzums, kogus, fjöldi, magn
""")

QUANTITY_WORDS: Final = frozenset(key for key in QUANTITY if "_" not in key and len(key) > 2) - {"items", "units"}

NOTE: Final = _keys("""
note, notes, comment, comments, remark, remarks, buyer note, customer note, order note, order notes, note to seller
bemerkung, bemerkungen, anmerkung, anmerkungen, notiz, notizen, hinweis, kommentar, remarque, remarques, commentaire
commentaires, notas, nota, comentario, comentarios, observaciones, commento, osservazioni, opmerking, opmerkingen
merknad, bemærkning, bemærkninger, anmärkning, huomautus, huomio, kommentti, uwagi, uwaga, komentarz, notatka, poznámka
megjegyzés, observații, not, açıklama, примечание, комментарий, примітка, коментар, σχόλια, σημείωση
備考, 備注, 备注, 비고, ملاحظات, ملاحظة, הערות, הערה, टिप्पणी, ghi chú, catatan, หมายเหตุ
""")

_ENGRAVING: Final = (
    *("engrav", "personal", "inscri", "wording", "lettering", "grav", "beschrift", "wunsch", "schild", "napis"),
    *(
        "personn",
        "grab",
        "incis",
        "opschrift",
        "skilt",
        "skylt",
        "kyltti",
        "felirat",
        "надпис",
        "напис",
        "刻",
        "名入",
        "각인",
    ),
)
"""Parts of words that mostly head what stands on a sign."""
_PERHAPS: Final = (
    *("text", "tekst", "texto", "testo", "sign", "plaque", "attribut", "propert", "option", "variation", "variant"),
    *("custom_field", "message", "custom", "print", "instruction", "name", "navn", "namn", "nombre", "текст", "文字"),
)
"""Parts of words that may head it."""

NEUTRAL: Final = frozenset(
    _keys("""
address, address 1, address 2, street, city, town, zip, zip code, post code, postcode, postal code, state, province
country, region, email, e-mail, mail, phone, telephone, tel, mobile, company, date, order date, created at, paid at
fulfilled at, time, day, week, month, year, due, due date, deadline, arrival, departure, check in, check out, nights, cabin
cabins, cabin no, site, sites, lodge, room, boat, plot, pitch, berth, hut, lot, table, group, team, class, category, type, size
material, wood, finish, sku, product, product id, item, item id, listing id, transaction id, price, unit price, total
subtotal, tax, taxes, shipping, shipping method, discount, currency, status, paid, payment, payment method, financial status
fulfillment status, vendor, tags, channel, source, index, row, line, no, nr, number, unnamed 0, url, link, image, photo
proof, rush, priority, done, ok, checked, age, vat, weight, location, place, area, section, shelf, box, bag, staff, seller
adresse, straße, ort, stadt, plz, land, telefon, datum, preis, status, firma, ville, code postal, pays, téléphone, prix
dirección, ciudad, país, teléfono, fecha, precio, indirizzo, città, paese, telefono, data, prezzo, adres, plaats, prijs
by, postnummer, dato, pris, hytte, hytta, stuga, adress, ort, postnr, osoite, kaupunki, hinta, adres, miasto, cena, kod pocztowy
адрес, город, дата, цена, телефон, 住所, 電話番号, 日付, 価格, 地址, 电话, 日期, 价格
""")
)
"""Headers of columns that never hold what stands on a sign."""

NEUTRAL_PARTS: Final = (
    *("price", "total", "subtotal", "tax", "date", "email", "mail", "phone", "address", "adress", "street", "city"),
    *("zip", "postal", "country", "province", "payment", "shipping", "billing", "discount", "status", "sku", "_id"),
    *("currency", "refund", "vendor", "fulfil", "carrier", "tracking", "created", "updated", "company", "lineitem"),
    *("url", "image", "photo", "weight", "barcode", "taxes", "duties", "risk", "terms", "method", "accepts", "device"),
)


def engraving_like(key: str) -> bool:
    """Return whether a header of no known meaning sounds like what stands on a sign."""
    return any(part in key for part in _ENGRAVING)


def perhaps_text(key: str) -> bool:
    """Return whether a header of no known meaning may head what stands on a sign."""
    return engraving_like(key) or any(part in key for part in _PERHAPS)


def quantity_like(key: str) -> bool:
    """Return whether one of the words of a header of no known meaning says how many."""
    return not QUANTITY_WORDS.isdisjoint(key.split("_"))


def is_neutral(key: str) -> bool:
    """Return whether a header is known to be none of a sign's business."""
    return key in NEUTRAL or any(part in key for part in NEUTRAL_PARTS)
